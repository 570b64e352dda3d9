using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>What is wrong with a decision of a person about readings.</summary>
public enum DecisionProblem
{
    /// <summary>No part is named, or one that readings of the stream lack.</summary>
    PartNotOfStream = 1,

    /// <summary>No decision is named, it is shifted without a shift, or it has a shift without being shifted.</summary>
    ShiftDoesNotFit = 2,

    /// <summary>The reason is missing or too long.</summary>
    ReasonMissing = 3,

    /// <summary>Who decides is missing or too long.</summary>
    NameMissing = 4,

    /// <summary>No stream is named.</summary>
    StreamMissing = 5,

    /// <summary>The numbers do not make a range: from 1 up, the last not below the first.</summary>
    BadRange = 6,

    /// <summary>The void that is to be withdrawn is not in force.</summary>
    NotInForce = 7,

    /// <summary>
    /// The totals of the readings before and after the range do not show what ran between them.
    /// </summary>
    TotalsUnknown = 8,
}

/// <summary>
/// Readings of one boot by their numbers, both ends included, and who decides about them and why. Nothing is checked
/// yet. Whether the readings exist is not checked here.
/// </summary>
public sealed record DecisionCandidate(
    string? EquipmentId,
    TelemetryStream? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Reason,
    string? By
)
{
    /// <summary>The longest reason and name, in characters without the blanks around them.</summary>
    public const int TextLengthMax = 200;

    /// <summary>The first problem. Null when all is well.</summary>
    public DecisionProblem? Problem =>
        Signature(Reason, By)
        ?? (
            Stream is null ? DecisionProblem.StreamMissing
            : IsRange ? null
            : DecisionProblem.BadRange
        );

    private bool IsRange =>
        Boot is not null && FirstSeq is >= 1 && LastSeq is < long.MaxValue && LastSeq.Value >= FirstSeq.Value;

    /// <summary>Name and reason are required: an inspector asks for both, years later.</summary>
    internal static DecisionProblem? Signature(string? reason, string? by) =>
        !IsText(reason) ? DecisionProblem.ReasonMissing
        : !IsText(by) ? DecisionProblem.NameMissing
        : null;

    private static bool IsText(string? text) => text?.Trim().Length is > 0 and <= TextLengthMax;
}

/// <summary>Readings that a person would void, wholly or in part.</summary>
public sealed record VoidCandidate(DecisionCandidate Readings, VoidedPart? Part)
{
    /// <summary>
    /// The first problem. Null when all is well. Contents and totals are spread, levels are stored.
    /// </summary>
    public DecisionProblem? Problem =>
        (Part, Readings.Stream) switch
        {

            (VoidedPart.Reading, _)
            or
            (VoidedPart.Composition or VoidedPart.Total, TelemetryStream.Spread)
            or (VoidedPart.Level, TelemetryStream.Store) => Readings.Problem,
            _ => DecisionProblem.PartNotOfStream,
        };

    /// <summary>
    /// The event that voids them, when there is no problem. The id must be unique among the voids of the farm.
    /// </summary>
    /// <param name="voidId">The id.</param>
    /// <param name="across">What the meter counted across void totals.</param>
    public ReadingsVoided Event(string voidId, MeteredAcross? across = null) =>
        new(
            voidId,
            Readings.EquipmentId!,
            Readings.Stream!.Value,
            Readings.Boot!.Value,
            Readings.FirstSeq!.Value,
            Readings.LastSeq!.Value,
            Part!.Value,
            Readings.Reason!.Trim(),
            Readings.By!.Trim(),
            across
        );
}

/// <summary>
/// Readings with a questionable time and how a person would use it. The shift in milliseconds is added to their times.
/// </summary>
public sealed record TimeDecisionCandidate(DecisionCandidate Readings, TimeDecision? Decision, long? ShiftMilliseconds)
{
    /// <summary>The first problem. Null when all is well.</summary>
    public DecisionProblem? Problem =>
        Decision is not { } decision || (decision == TimeDecision.Shifted) != (ShiftMilliseconds is not (null or 0))
            ? DecisionProblem.ShiftDoesNotFit
            : Readings.Problem;

    /// <summary>The event that decides, when there is no problem.</summary>
    public QuestionableTimeDecided Event() =>
        new(
            Readings.EquipmentId!,
            Readings.Stream!.Value,
            Readings.Boot!.Value,
            Readings.FirstSeq!.Value,
            Readings.LastSeq!.Value,
            Decision!.Value,
            ShiftMilliseconds ?? 0,
            Readings.Reason!.Trim(),
            Readings.By!.Trim()
        );
}

/// <summary>A void that a person would withdraw, and who and why.</summary>
public sealed record VoidWithdrawalCandidate(string VoidId, string? Reason, string? By)
{
    /// <summary>The first problem under a configuration. Null when all is well.</summary>
    public DecisionProblem? Problem(FarmConfiguration configuration) =>
        configuration.Voids.Any(@void => @void.VoidId == VoidId)
            ? DecisionCandidate.Signature(Reason, By)
            : DecisionProblem.NotInForce;

    /// <summary>The event that withdraws it, when there is no problem.</summary>
    public VoidWithdrawn Event() => new(VoidId, Reason!.Trim(), By!.Trim());
}
