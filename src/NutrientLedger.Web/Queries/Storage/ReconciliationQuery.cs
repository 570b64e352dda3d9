using System.Globalization;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Ledger.Storage;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Storage;

namespace NutrientLedger.Web.Queries.Storage;

/// <summary>Reconciles a pit for each day of a period and for the whole.</summary>
public sealed class ReconciliationQuery(
    ConfigurationStore configurations,
    LedgerReader ledgers,
    PitReadings readings,
    InterruptionQuery meters,
    FarmClock clock
)
{
    private const int DaysMax = 400;

    /// <summary>
    /// The reconciliation of a pit from a day up to, not including, another, as of a journal position if given; or the
    /// problem.
    /// </summary>
    public async Task<(ReconciliationResponse? Answer, string? Problem)> AskAsync(
        string farmId,
        string? pitId,
        string? from,
        string? to,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var at = await configurations.ReadAsync(farmId, asOf, cancellationToken);
        if (at.Configuration.Farm is null)
            return (null, $"There is no farm \"{farmId}\".");
        var (reconciled, problem) = await ReconcileAsync(at, pitId, from, to, asOf, cancellationToken);
        return (reconciled is null ? null : ReconciliationMapping.Response(reconciled), problem);
    }

    /// <summary>The same with all its inputs, for a farm's configuration as of that position.</summary>
    internal async Task<(ReconciledPit? Reconciled, string? Problem)> ReconcileAsync(
        ConfigurationSnapshot at,
        string? pitId,
        string? from,
        string? to,
        long? asOf,
        CancellationToken cancellationToken
    )
    {
        var (farmId, configuration) = (at.FarmId, at.Configuration);
        var calendar = configuration.Calendar!;
        if (pitId is null || configuration.Pit(pitId) is not { } pit)
            return (
                null,
                $"{(pitId is null ? "" : $"There is no pit \"{pitId}\". ")}Set pit to one of: {string.Join(", ", configuration.Pits.Select(known => known.PitId))}."
            );
        if (Day(from) is not { } first || Day(to) is not { } end)
            return (null, "Write from and to as farm days, such as 2026-04-21. \"to\" is the day after the last day.");
        if (end <= first || end.DayNumber - first.DayNumber > DaysMax)
            return (null, $"\"to\" must be 1 to {DaysMax} days after \"from\". It is the day after the last day.");

        var (start, stop) = (calendar.StartOf(first), calendar.StartOf(end));
        if (stop <= calendar.LedgerBeginsMilliseconds)
            return (
                null,
                $"The farm's ledger begins on {configuration.Farm!.LedgerBegins:yyyy-MM-dd}. Choose a later \"to\"."
            );
        var now = clock.Now.ToUnixTimeMilliseconds();
        if (start >= now)
            return (null, $"\"from\" is {from}, which is in the future. Choose today or an earlier day.");
        var (early, late) = (start - ReconciledDays.AroundMilliseconds, stop + ReconciledDays.AroundMilliseconds);
        var seasons = new SeasonRange(calendar.SeasonAt(early), calendar.SeasonAt(late));
        var view = await ledgers.LinesAsync(farmId, seasons, asOf, cancellationToken);
        var levels = CleanedLevels.Of(
            await readings.LevelsAsync(farmId, configuration, pitId, early, late, asOf, cancellationToken)
        );
        var rain = await readings.RainAsync(farmId, configuration, early, late, asOf, cancellationToken);
        var interruptions = await meters.AskAsync(farmId, configuration, asOf, cancellationToken);
        var reconciled = ReconciledDays.Of(
            configuration,
            pit,
            first,
            end,
            now,
            [.. view.Lines],
            levels,
            rain,
            interruptions
        );
        return (
            new(
                farmId,
                configuration.Farm!,
                pit,
                first,
                end,
                view.Position,
                reconciled.Days,
                reconciled.Whole,
                calendar.ToFarmTime(reconciled.CalculatedToMilliseconds),
                view.IsBeingCorrected,
                view.UnpostedBatches
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
