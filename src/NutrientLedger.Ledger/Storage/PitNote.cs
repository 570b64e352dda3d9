using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>Something that a reader of a reconciliation must know beside the values, as data without words.</summary>
public abstract record PitNote
{
    /// <summary>No stock by the level sensor, because none is mounted in the pit.</summary>
    public sealed record NoLevelSensor(bool TapeStandsIn) : PitNote;

    /// <summary>No stock by the level sensor: no level within half a day of the period's beginning or end.</summary>
    public sealed record LevelUnknown(bool AtStart, bool AtEnd, bool TapeStandsIn) : PitNote;

    /// <summary>In so many intervals the metered volume is unknown; the sum is at least what is stated.</summary>
    public sealed record MeterUnknown(long Intervals) : PitNote;

    /// <summary>
    /// So many times no reading came for a while, and the totals around it do not show what ran; the sum is at least
    /// what is stated.
    /// </summary>
    public sealed record BetweenUnknown(int Interruptions) : PitNote;

    /// <summary>
    /// This much was metered between readings that lie on both sides of the period's beginning or end. The part by time
    /// counts here.
    /// </summary>
    public sealed record BetweenSplit(double CubicMetres, double CubicMetresHere) : PitNote;

    /// <summary>
    /// This much was metered between readings while the source changed. It is in no pit balance.
    /// </summary>
    public sealed record BetweenPits(double CubicMetres) : PitNote;

    /// <summary>As of an earlier position nobody knows what meters counted between readings.</summary>
    public sealed record BetweenNotKnown : PitNote;

    /// <summary>No applicator drew by meter.</summary>
    public sealed record NothingDrawn : PitNote;

    /// <summary>An applicator ran in the period without a recorded source.</summary>
    public sealed record SourceUnknown(string ApplicatorId) : PitNote;

    /// <summary>Nobody measured evaporation. It is assumed to be zero, with its default error.</summary>
    public sealed record EvaporationAssumedZero : PitNote;

    /// <summary>What a person noted of the pit in the period, in that person's words.</summary>
    public sealed record Observed(PitNoteKind Kind, string Text) : PitNote;
}
