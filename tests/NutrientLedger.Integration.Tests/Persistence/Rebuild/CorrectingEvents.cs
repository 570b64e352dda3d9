using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>Events that change what was already posted.</summary>
internal static class CorrectingEvents
{
    public static ApplicatorRegistered Wider(string machine) =>
        Some.ConfigurationEvents().OfType<ApplicatorRegistered>().Single() with
        {
            ApplicatorId = machine,
            WorkingWidthMillimetres = 12_000,
        };

    public static ReadingLimit Limit(int max) => new(LimitedQuantity.TotalNitrogen, 0, max, "common practice");

    public static ReadingsVoided Void(
        string id,
        string device,
        TelemetryStream stream,
        VoidedPart part,
        int lastSeq = 40
    ) => new(id, device, stream, 1, 1, lastSeq, part, "Air in the hose", "Ada Ash");

    public static QuestionableTimeDecided Decided(string device, TelemetryStream stream) =>
        new(device, stream, 1, 50, 60, TimeDecision.Shifted, 3_600_000, "An hour behind", "Ada Ash");

    /// <summary>About as wide as the home field, so far east of it.</summary>
    public static Boundary Square(int northE7, int eastE7)
    {
        ImmutableArray<GeoPoint> corners =
        [
            new(449_900_000, -950_100_000 + eastE7),
            new(449_900_000, -949_900_000 + eastE7),
            new(northE7, -949_900_000 + eastE7),
            new(northE7, -950_100_000 + eastE7),
        ];
        return new([new(new(corners), [])]);
    }
}
