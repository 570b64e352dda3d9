using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Office.Import;

/// <summary>
/// What a farm file says, in the entries that would record it. The lattice of the farm is left at its default when the file
/// does not give one; <see cref="FarmLine"/> is the line where the farm stands.
/// </summary>
internal sealed record FarmSheet(
    string FarmId,
    int FarmLine,
    FarmRegistered Farm,
    IReadOnlyList<FieldSheet> Fields,
    IReadOnlyList<IEntry> Equipment
);

/// <summary>A field of the GeoJSON file, the line where its feature begins, and why its boundary was redrawn if it says so.</summary>
internal sealed record FieldSheet(int Line, FieldRegistered Field, string? ChangedBecause);
