namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// One cell of a farm's coverage grid. Rows count north from latitude 0, columns east from longitude 0.
/// </summary>
public readonly record struct GridCell(int Row, int Column);
