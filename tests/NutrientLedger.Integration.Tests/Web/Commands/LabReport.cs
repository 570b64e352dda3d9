namespace NutrientLedger.Integration.Tests.Web.Commands;

/// <summary>Laboratory reports as somebody enters them.</summary>
internal static class LabReport
{
    public static object Entered(
        string id,
        decimal nitrogen,
        string unit = "lb/1000 US gal",
        string? reason = null,
        string? place = null,
        string? sensor = null
    ) =>
        new
        {
            id,
            // A jar of its own, or reports of other tests would be of the same sample.
            sample = $"jar of {id}",
            laboratory = "Fen Street laboratory",
            sampledFrom = "2026-04-21T14:00:00Z",
            sampledTo = "2026-04-21T14:00:30Z",
            sensor = sensor ?? (place is null ? "nir" : null),
            applicator = place,
            method = "mixed grab samples",
            reportedOn = "2026-05-02",
            values = new[]
            {
                new
                {
                    what = "totalNitrogen",
                    value = nitrogen,
                    unit,
                },
            },
            by = "Ada Ash",
            reason,
        };
}
