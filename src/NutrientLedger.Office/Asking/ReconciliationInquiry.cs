using System.Globalization;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Reckons a pit's story for each day of a period and for the whole of it.</summary>
public sealed class ReconciliationInquiry(
    RegisterStore registers,
    LedgerReader ledgers,
    PitReadings readings,
    FarmClock clock
)
{
    private const int DaysMost = 400;

    // Levels and rain from half a day to either side let the first and last moment be read between two readings.
    private const long AroundMilliseconds = 43_200_000;

    /// <summary>The reconciliation of a pit from a day up to, but not including, another; or what to ask instead; as of a journal position if one is named.</summary>
    public async Task<(ReconciliationAnswer? Answer, string? Problem)> AskAsync(
        string farmId,
        string? pitId,
        string? from,
        string? to,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var (reckoned, problem) = await ReckonAsync(farmId, pitId, from, to, asOf, cancellationToken);
        return (reckoned is null ? null : ReconciliationBook.Answer(reckoned), problem);
    }

    /// <summary>The same with everything it was made from.</summary>
    internal async Task<(ReckonedPit? Reckoned, string? Problem)> ReckonAsync(
        string farmId,
        string? pitId,
        string? from,
        string? to,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var register = (await registers.ReadAsync(farmId, asOf, cancellationToken)).Register;
        if (register.Calendar is not { } calendar)
            return (null, $"There is no farm \"{farmId}\".");
        if (pitId is null || register.Pit(pitId) is not { } pit)
            return (
                null,
                $"Name one of the farm's pits as pit: {string.Join(", ", register.Pits.Select(known => known.PitId))}."
            );
        if (Day(from) is not { } first || Day(to) is not { } end)
            return (
                null,
                "Give from and to as days of farm time like 2026-04-21; to is the first day that no longer counts."
            );
        if (end <= first || end.DayNumber - first.DayNumber > DaysMost)
            return (null, $"\"to\" must be later than \"from\", by at most {DaysMost} days.");

        var (start, stop) = (calendar.StartOf(first), calendar.StartOf(end));
        var view = await ledgers.LinesAsync(farmId, null, asOf, cancellationToken);
        var (early, late) = (start - AroundMilliseconds, stop + AroundMilliseconds);
        var levels = CleanedLevels.Of(
            await readings.LevelsAsync(farmId, register, pitId, early, late, asOf, cancellationToken)
        );
        var rain = await readings.RainAsync(farmId, register, early, late, asOf, cancellationToken);
        var reached = clock.Now.ToUnixTimeMilliseconds();
        PitStatement Statement(long begins, long ends) =>
            PitStatement.Of(new(register, pit, begins, ends, [.. view.Lines], levels, rain));
        var days = Enumerable
            .Range(0, end.DayNumber - first.DayNumber)
            .Select(first.AddDays)
            .Select(day =>
            {
                var (begins, ends) = (calendar.StartOf(day), calendar.StartOf(day.AddDays(1)));
                return (day, Statement(begins, ends), ends > reached);
            });
        var whole = Statement(start, stop);
        return (new(farmId, register.Farm!, pit, first, end, view.Position, [.. days], whole, stop > reached), null);
    }

    private static DateOnly? Day(string? text) =>
        DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day)
        && day.Year is >= 2000 and <= 2199
            ? day
            : null;
}
