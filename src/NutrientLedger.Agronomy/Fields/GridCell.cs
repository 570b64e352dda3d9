namespace NutrientLedger.Agronomy.Fields;

/// <summary>One cell of a farm's coverage lattice, counted from latitude 0 northwards and longitude 0 eastwards.</summary>
public readonly record struct GridCell(int Row, int Column);
