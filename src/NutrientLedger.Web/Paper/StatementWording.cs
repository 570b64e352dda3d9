using System.Globalization;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Web.Paper;

/// <summary>Says what a kept statement is of in the farm's time and in the units of a page; what is kept stays as it is.</summary>
internal sealed class StatementWording(ConfigurationSnapshot at)
{
    private const double MilligramsPerKilogramAndLitresPerCubicMetre = 1000;
    private const double PartsPerMillionOfAPercent = 10_000;

    private readonly Dictionary<long, RecordedEvent> events = at.Events.ToDictionary(it => it.Position);

    /// <summary>The farm by its name and id.</summary>
    public string Farm => $"{at.Configuration.Farm!.Name} ({at.FarmId})";

    /// <summary>A pit by its name and id.</summary>
    public string Pit(string pitId) => at.Configuration.Pit(pitId) is { } pit ? $"{pit.Name} ({pitId})" : pitId;

    public string What(StatementCause cause, PrintUnits units) =>
        events.TryGetValue(cause.Position, out var recorded)
            ? StatementCause.Describe(
                recorded.Event,
                new(Moment, (analyte, amount) => Content(analyte, amount / 1e3, units))
            )
            : cause.What;

    /// <summary>A moment as the farm's clock shows it, with its offset from UTC.</summary>
    public string Moment(DateTimeOffset moment) =>
        at
            .Configuration.Calendar!.ToFarmTime(moment.ToUnixTimeMilliseconds())
            .ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);

    private static string Content(Analyte analyte, double inRawUnit, PrintUnits units) =>
        analyte == Analyte.DryMatter
            ? string.Create(CultureInfo.InvariantCulture, $"{inRawUnit / PartsPerMillionOfAPercent:N2} %")
            : $"{units.ContentOf(inRawUnit / MilligramsPerKilogramAndLitresPerCubicMetre)} {units.Content}";
}
