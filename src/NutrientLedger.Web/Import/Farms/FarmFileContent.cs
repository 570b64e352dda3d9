using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// The content of a farm file, as the events that would record it. The grid is left at its default when the file gives
/// none. <see cref="FarmLine"/> is the line of the farm section. <see cref="Others"/> are all but farm and fields.
/// </summary>
internal sealed record FarmFileContent(
    string FarmId,
    int FarmLine,
    FarmRegistered Farm,
    IReadOnlyList<FieldFeature> Fields,
    IReadOnlyList<IJournalEvent> Others
);

/// <summary>
/// A field of the GeoJSON file, the line of its feature, and the reason for a new boundary, if given.
/// </summary>
internal sealed record FieldFeature(int Line, FieldRegistered Field, string? ChangeReason);
