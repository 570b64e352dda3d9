using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Commands;

/// <summary>Records what a person decides about readings, or returns what is wrong with it.</summary>
internal sealed class ReadingDecisionHandler(
    ConfigurationStore configurations,
    DeviceReader devices,
    FindingReader readings
)
{
    private const int BootsNamed = 3;

    public async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> VoidAsync(
        ConfigurationSnapshot at,
        VoidRequest request,
        CancellationToken cancellationToken
    )
    {
        var candidate = DecisionMapping.Candidate(request);
        if (candidate.Problem is { } problem)
            return DecisionMapping.Problem(problem, request);
        if (await UnknownAsync(at.FarmId, candidate.Readings, cancellationToken) is { } unknown)
            return unknown;
        MeteredAcross? across = null;
        if (
            candidate.Part == VoidedPart.Total
            && (across = await readings.AcrossAsync(at.FarmId, at.Configuration, candidate.Readings, cancellationToken))
                is null
        )
            return DecisionMapping.Problem(DecisionProblem.TotalsUnknown, request);
        // The id is unique, because recording fails when the configuration has changed.
        var id = FormattableString.Invariant($"void-{at.Version + 1}");
        return await RecordAsync(at, candidate.Event(id, across), id, cancellationToken);
    }

    public async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> WithdrawAsync(
        ConfigurationSnapshot at,
        string id,
        VoidWithdrawalRequest request,
        CancellationToken cancellationToken
    )
    {
        var candidate = new VoidWithdrawalCandidate(id, request.Reason, request.By);
        return candidate.Problem(at.Configuration) is { } problem
            ? DecisionMapping.Problem(problem, candidate, at.FarmId, at.Configuration)
            : await RecordAsync(at, candidate.Event(), id, cancellationToken);
    }

    public async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> DecideAsync(
        ConfigurationSnapshot at,
        QuestionableTimeDecisionRequest request,
        CancellationToken cancellationToken
    )
    {
        var candidate = DecisionMapping.Candidate(request);
        if (candidate.Problem is { } problem)
            return DecisionMapping.Problem(problem, request);
        if (await UnknownAsync(at.FarmId, candidate.Readings, cancellationToken) is { } unknown)
            return unknown;
        return await RecordAsync(at, candidate.Event(), id: null, cancellationToken);
    }

    private async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> RecordAsync(
        ConfigurationSnapshot at,
        IJournalEvent @event,
        string? id,
        CancellationToken cancellationToken
    )
    {
        try
        {
            await configurations.RecordAsync(at.FarmId, at.Version, [@event], cancellationToken);
        }
        catch (ConfigurationConflictException)
        {
            return ApiProblem.Changed();
        }
        return TypedResults.Ok(new RecordedResponse(at.FarmId, at.Version + 1, id));
    }

    /// <summary>
    /// The problem when no stored reading has one of the numbers. Such a decision would never change anything,
    /// unnoticed.
    /// </summary>
    private async Task<ProblemHttpResult?> UnknownAsync(
        string farm,
        DecisionCandidate readings,
        CancellationToken cancellationToken
    )
    {
        var (equipment, stream) = (readings.EquipmentId ?? "", readings.Stream!.Value);
        var known = await devices.DevicesAsync(farm, cancellationToken);
        if (!known.Any(device => device.EquipmentId == equipment && device.Stream == stream))
            return ApiProblem.Unknown(
                $"device on stream {ApiWords.Of(stream)}",
                equipment,
                farm,
                known.Where(device => device.Stream == stream).Select(device => device.EquipmentId)
            );
        var (boot, first, last) = (readings.Boot!.Value, readings.FirstSeq!.Value, readings.LastSeq!.Value);
        var near = await devices.NearestBootsAsync(farm, equipment, stream, boot, BootsNamed, cancellationToken);
        if (await devices.AnyStoredAsync(farm, equipment, stream, new(boot, first, last), cancellationToken))
            return near.FirstOrDefault(it => it.Boot == boot) is { LastSeq: var highest } && highest < last
                ? ApiProblem.BadValue(
                    "lastSeq",
                    FormattableString.Invariant($"{last}"),
                    $"The highest number stored of boot {boot} is {highest}. Write lastSeq up to it. Decide on later readings when they have arrived."
                )
                : null;
        var stored =
            near.Count == 0
                ? "none"
                : string.Join(", ", near.Select(it => $"boot {it.Boot} (no. {it.FirstSeq} to {it.LastSeq})"));
        return ApiProblem.BadValue(
            "range of numbers",
            $"{first} to {last} of boot {boot}",
            $"{equipment} has no stored readings with these numbers on stream {ApiWords.Of(stream)}. Nearest stored: {stored}. Check boot, firstSeq and lastSeq. Decide on later readings when they have arrived."
        );
    }
}
