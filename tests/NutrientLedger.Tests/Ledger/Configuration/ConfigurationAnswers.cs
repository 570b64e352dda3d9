using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Configuration;

/// <summary>What a configuration answers, as sorted texts. Two with the same answers are the same.</summary>
internal static class ConfigurationAnswers
{
    /// <summary>The answers, about moments from a day before some moments to a day after them.</summary>
    public static string[] Of(FarmConfiguration configuration, params IEnumerable<DateTimeOffset> moments)
    {
        long[] times =
        [
            .. moments
                .SelectMany(moment => new[] { -86_400_000, -1, 0, 86_400_000 }.Select(ms => moment.AddMilliseconds(ms)))
                .Select(moment => moment.ToUnixTimeMilliseconds())
                .Distinct(),
        ];
        string[] devices = [.. configuration.Sensors.Select(it => it.EquipmentId), .. Ids(configuration)];
        IEnumerable<object?[]> answers =
        [
            .. configuration.Fields.SelectMany(field =>
                field.Boundaries.Changes.Select(it =>
                    new object?[] { "field", field.FieldId, field.Name, it.FromMilliseconds, it.InForce }
                )
            ),
            .. configuration.Pits.Select(it => new object?[] { "pit", it }),
            .. configuration.Applicators.Select(it => new object?[] { "applicator", it }),
            .. configuration.Plans.Select(it => new object?[] { "plan", it }),
            .. configuration.Sensors.Select(it => new object?[] { "sensor", it }),
            .. configuration.Sources.Select(it => new object?[] { "source", it }),
            .. configuration.AdoptionRules.Select(it => new object?[] { "rule", it }),
            .. configuration.Recorded<DefaultDeviationsSet>().Select(it => new object?[] { "deviations", it }),
            .. configuration.Recorded<NoSpreadZoneRegistered>().Select(it => new object?[] { "zone", it }),
            .. Enumerable
                .Range(2024, 6)
                .Select(season => new object?[] { "set", season, configuration.Availability(season)?.Chosen }),
            .. times.SelectMany(time => devices.Distinct().SelectMany(device => Device(configuration, device, time))),
            .. times.SelectMany(time => Methods(configuration, time)),
        ];
        return [.. answers.Select(Text).Order(StringComparer.Ordinal)];
    }

    private static IEnumerable<object?[]> Device(FarmConfiguration configuration, string device, long time) =>
        [
            ["mounted", device, time, configuration.SensorFor(device, time)],
            ["level of", device, time, configuration.PitMeasuredBy(device, time)],
            ["fed from", device, time, configuration.PitFeeding(device, time)],
            ["limits", device, time, configuration.Limits(device, time)],
        ];

    private static IEnumerable<object?[]> Methods(FarmConfiguration configuration, long time) =>
        from applicator in configuration.Applicators.Select(it => it.ApplicatorId)
        from field in configuration.Fields.Select(it => it.FieldId)
        select new object?[] { "method", applicator, field, time, configuration.Method(applicator, field, time) };

    private static IEnumerable<string> Ids(FarmConfiguration configuration) =>
        configuration
            .Applicators.Select(it => it.ApplicatorId)
            .Concat(configuration.Sources.Select(it => it.ApplicatorId));

    private static string Text(object?[] answer) =>
        string.Join(
            ' ',
            answer.Select(part =>
                System.Text.Json.JsonSerializer.Serialize(part, part?.GetType() ?? typeof(object), EventJson.Options)
            )
        );
}
