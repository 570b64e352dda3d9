using System.Globalization;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Says what a kept statement is of in the farm's time and in the units of a page; what is kept stays as it is.</summary>
internal sealed class StatementBook(RegisterAt at)
{
    private const double MilligramsPerKilogramAndLitresPerCubicMetre = 1000;
    private const double PartsPerMillionOfAPercent = 10_000;

    private readonly Dictionary<long, RecordedEntry> entries = at.Entries.ToDictionary(it => it.Position);

    /// <summary>The farm by its name and id.</summary>
    public string Farm => $"{at.Register.Farm!.Name} ({at.FarmId})";

    /// <summary>A pit by its name and id.</summary>
    public string Pit(string pitId) => at.Register.Pit(pitId) is { } pit ? $"{pit.Name} ({pitId})" : pitId;

    public string What(StatementCause cause, StatementUnits units) =>
        entries.TryGetValue(cause.Position, out var recorded)
            ? StatementCause.Say(
                recorded.Entry,
                new(Moment, (analyte, amount) => Content(analyte, amount / 1e3, units))
            )
            : cause.What;

    /// <summary>A moment as the farm's clock shows it, with its offset from UTC.</summary>
    public string Moment(DateTimeOffset moment) =>
        at
            .Register.Calendar!.OnTheClock(moment.ToUnixTimeMilliseconds())
            .ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);

    private static string Content(Analyte analyte, double inRawUnit, StatementUnits units) =>
        analyte == Analyte.DryMatter
            ? string.Create(CultureInfo.InvariantCulture, $"{inRawUnit / PartsPerMillionOfAPercent:N2} %")
            : $"{units.ContentOf(inRawUnit / MilligramsPerKilogramAndLitresPerCubicMetre)} {units.Content}";
}
