using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Endpoints;

/// <summary>What people decide about readings: voidings, and clocks in doubt.</summary>
internal static class DecisionEndpoints
{
    public static void MapDecisions(this RouteGroupBuilder api)
    {
        var farm = api.MapGroup("/farms/{farm}")
            .WithTags("Decisions")
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound);
        farm.MapGet("/voidings", VoidingsAsync).WithSummary("The voidings in force, oldest first");
        farm.MapPost("/voidings", VoidAsync).WithSummary("Declare readings void, wholly or in part");
        farm.MapPost("/voidings/{id}/withdraw", WithdrawAsync).WithSummary("Take a voiding back");
        farm.MapGet("/doubts", DoubtsAsync).WithSummary("Readings whose time is in doubt, waiting for a decision");
        farm.MapPost("/doubts/decide", DecideAsync).WithSummary("Decide how readings in doubt are to be read");
    }

    private static async Task<Results<Ok<VoidingList>, ProblemHttpResult>> VoidingsAsync(
        string farm,
        FarmInquiry farms,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        return asked.IsRefused
            ? asked.Refusal
            : TypedResults.Ok(
                new VoidingList(
                    farm,
                    [
                        .. asked.Found.Register.Voidings.Select(voiding => new VoidingAnswer(
                            voiding.VoidingId,
                            voiding.EquipmentId,
                            TradeWords.Of(voiding.Stream),
                            voiding.Boot,
                            voiding.FirstSeq,
                            voiding.LastSeq,
                            voiding.Part.ToString().ToLowerInvariant(),
                            voiding.Reason,
                            voiding.DecidedBy
                        )),
                    ]
                )
            );
    }

    private static async Task<Results<Ok<RecordedAnswer>, ProblemHttpResult>> VoidAsync(
        string farm,
        VoidingWanted wanted,
        FarmInquiry farms,
        DecisionDesk desk,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        VoidedPart? named = wanted switch
        {
            { Part: "reading" } => VoidedPart.Reading,
            { Part: "composition", Stream: "spread" } => VoidedPart.Composition,
            { Part: "level", Stream: "store" } => VoidedPart.Level,
            _ => null,
        };
        if (named is not { } part)
            return Refusal.BadValue(
                "part",
                wanted.Part ?? "",
                "Say what is void: reading, or composition (of stream spread), or level (of stream store)."
            );
        if (await desk.FaultAsync(farm, wanted, cancellationToken) is { } fault)
            return fault;
        return await desk.RecordAsync(
            farm,
            at =>
            {
                // The place in the register is nobody else's, because recording fails when the register has moved on.
                var id = FormattableString.Invariant($"voiding-{at.Place + 1}");
                var entry = new ReadingsVoided(
                    id,
                    wanted.Equipment!,
                    DecisionDesk.Stream(wanted.Stream)!.Value,
                    wanted.Boot!.Value,
                    wanted.FirstSeq!.Value,
                    wanted.LastSeq!.Value,
                    part,
                    wanted.Reason!.Trim(),
                    wanted.DecidedBy!.Trim()
                );
                return (entry, id);
            },
            cancellationToken
        );
    }

    private static async Task<Results<Ok<RecordedAnswer>, ProblemHttpResult>> WithdrawAsync(
        string farm,
        string id,
        WithdrawalWanted wanted,
        FarmInquiry farms,
        DecisionDesk desk,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var inForce = asked.Found.Register.Voidings.Select(voiding => voiding.VoidingId).ToArray();
        if (!inForce.Contains(id))
            return Refusal.Unknown("voiding in force", id, farm, inForce);
        return DecisionDesk.Unsigned(wanted.Reason, wanted.DecidedBy) is { } fault
            ? fault
            : await desk.RecordAsync(
                farm,
                _ => (new VoidingWithdrawn(id, wanted.Reason!.Trim(), wanted.DecidedBy!.Trim()), id),
                cancellationToken
            );
    }

    private static async Task<Results<Ok<DoubtList>, ProblemHttpResult>> DoubtsAsync(
        string farm,
        FarmInquiry farms,
        DoubtReader doubts,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var calendar = asked.Found.Register.Calendar!;
        var waiting = await doubts.WaitingAsync(farm, asked.Found.Register, cancellationToken);
        return TypedResults.Ok(
            new DoubtList(
                farm,
                [
                    .. waiting.Select(stretch => new DoubtAnswer(
                        stretch.EquipmentId,
                        TradeWords.Of(stretch.Stream),
                        stretch.Boot,
                        stretch.FirstSeq,
                        stretch.LastSeq,
                        calendar.OnTheClock(stretch.ClaimedFromMilliseconds),
                        calendar.OnTheClock(stretch.ClaimedToMilliseconds),
                        stretch.RecordedAt,
                        stretch.EstimatedShiftMilliseconds
                    )),
                ]
            )
        );
    }

    private static async Task<Results<Ok<RecordedAnswer>, ProblemHttpResult>> DecideAsync(
        string farm,
        DecisionWanted wanted,
        FarmInquiry farms,
        DecisionDesk desk,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        DoubtDecision? named = wanted switch
        {
            { Decision: "asMeasured", ShiftMilliseconds: null or 0 } => DoubtDecision.AsMeasured,
            { Decision: "leftOut", ShiftMilliseconds: null or 0 } => DoubtDecision.LeftOut,
            { Decision: "shifted", ShiftMilliseconds: not (null or 0) } => DoubtDecision.Shifted,
            _ => null,
        };
        if (named is not { } decision)
            return Refusal.BadValue(
                "decision",
                wanted.Decision ?? "",
                "Say asMeasured or leftOut without a shift, or shifted with shiftMilliseconds other than 0."
            );
        if (await desk.FaultAsync(farm, wanted, cancellationToken) is { } fault)
            return fault;
        var entry = new DoubtDecided(
            wanted.Equipment!,
            DecisionDesk.Stream(wanted.Stream)!.Value,
            wanted.Boot!.Value,
            wanted.FirstSeq!.Value,
            wanted.LastSeq!.Value,
            decision,
            wanted.ShiftMilliseconds ?? 0,
            wanted.Reason!.Trim(),
            wanted.DecidedBy!.Trim()
        );
        return await desk.RecordAsync(farm, _ => (entry, null), cancellationToken);
    }
}
