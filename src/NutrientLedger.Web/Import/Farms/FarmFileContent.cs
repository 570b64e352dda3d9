using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// What a farm file says, in the entries that would record it. The lattice of the farm is left at its default when the
/// file does not give one; <see cref="FarmLine"/> is the line where the farm stands.
/// </summary>
internal sealed record FarmFileContent(
    string FarmId,
    int FarmLine,
    FarmRegistered Farm,
    IReadOnlyList<FieldFeature> Fields,
    IReadOnlyList<IJournalEvent> Equipment
);

/// <summary>
/// A field of the GeoJSON file, the line where its feature begins, and why its boundary was redrawn if it says so.
/// </summary>
internal sealed record FieldFeature(int Line, FieldRegistered Field, string? ChangeReason);
