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
                $"{(pitId is null ? "" : $"There is no pit \"{pitId}\". ")}Name one of the farm's pits as pit: {string.Join(", ", register.Pits.Select(known => known.PitId))}."
            );
        if (Day(from) is not { } first || Day(to) is not { } end)
            return (
                null,
                "Give from and to as days of farm time like 2026-04-21; to is the first day that no longer counts."
            );
        if (end <= first || end.DayNumber - first.DayNumber > DaysMost)
            return (
                null,
                $"\"to\" must be later than \"from\", by at most {DaysMost} days: it is the first day that no longer counts."
            );

        var (start, stop) = (calendar.StartOf(first), calendar.StartOf(end));
        if (stop <= calendar.LedgerBeginsMilliseconds)
            return (
                null,
                $"The farm's ledger begins on {register.Farm!.LedgerBegins:yyyy-MM-dd}; ask for days from then on."
            );
        var now = clock.Now.ToUnixTimeMilliseconds();
        if (start >= now)
            return (null, $"\"from\" is {from}, a day that has not begun on the farm; ask for days that have.");
        var view = await ledgers.LinesAsync(farmId, null, asOf, cancellationToken);
        var (early, late) = (start - AroundMilliseconds, stop + AroundMilliseconds);
        var levels = CleanedLevels.Of(
            await readings.LevelsAsync(farmId, register, pitId, early, late, asOf, cancellationToken)
        );
        var rain = await readings.RainAsync(farmId, register, early, late, asOf, cancellationToken);
        // A day that is not over is reckoned up to now: what will still run in and be drawn is nobody's error.
        ReckonedDay Reckoned(DateOnly day, long begins, long ends) =>
            new(
                day,
                PitStatement.Of(new(register, pit, begins, Math.Min(ends, now), [.. view.Lines], levels, rain)),
                ends <= now
            );
        var days = Enumerable
            .Range(0, end.DayNumber - first.DayNumber)
            .Select(first.AddDays)
            .TakeWhile(day => calendar.StartOf(day) < now)
            .Select(day => Reckoned(day, calendar.StartOf(day), calendar.StartOf(day.AddDays(1))));
        return (
            new(
                farmId,
                register.Farm!,
                pit,
                first,
                end,
                view.Position,
                [.. days],
                Reckoned(first, start, stop),
                calendar.OnTheClock(Math.Min(stop, now)),
                view.IsBeingCorrected
            ),
            null
        );
    }

    private static DateOnly? Day(string? text) =>
        DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day)
        && day.Year is >= 2000 and <= 2199
            ? day
            : null;
}
