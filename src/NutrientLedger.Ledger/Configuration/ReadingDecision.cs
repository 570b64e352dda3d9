using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// How to use one reading: the clock that a person decided, the void part, and the total (mL) instead of a void one.
/// Without any decision (the default) it is used as measured.
/// </summary>
public readonly record struct ReadingDecision(
    TimeDecision? Clock,
    long ShiftMilliseconds,
    bool WholeVoid,
    bool CompositionVoid,
    bool LevelVoid,
    long? TotalInstead = null
)
{
    // 1990-01-01 and 2100-01-01, 00:00 UTC: the limits of a device's time on the wire. No shift can lead beyond them.
    private const long EarliestMilliseconds = 631_152_000_000;
    private const long BeyondMilliseconds = 4_102_444_800_000;

    /// <summary>Whether the reading stays out of everything and breaks the run.</summary>
    public bool StaysOut => WholeVoid || Clock == TimeDecision.LeftOut;

    /// <summary>The reading as it is to be posted. Null when it stays out.</summary>
    internal SpreadReading? Read(in SpreadReading reading, QuestionableTime.Times sound)
    {
        if (TimeOf(reading.MeasuredAtMilliseconds, sound) is not { } time)
            return null;
        var read = reading with
        {
            MeasuredAtMilliseconds = time,
            TotalMillilitres = TotalInstead ?? reading.TotalMillilitres,
        };
        return CompositionVoid
            ? read with
            {
                DryMatterPartsPerMillion = null,
                TotalNitrogenMilligramsPerLitre = null,
                AmmoniumNitrogenMilligramsPerLitre = null,
                PhosphorusMilligramsPerLitre = null,
                PotassiumMilligramsPerLitre = null,
            }
            : read;
    }

    /// <summary>The reading as it is to be posted. Null when it stays out.</summary>
    internal LevelReading? Read(in LevelReading reading, QuestionableTime.Times sound) =>
        TimeOf(reading.MeasuredAtMilliseconds, sound) is not { } time ? null
        : LevelVoid ? reading with { MeasuredAtMilliseconds = time, LevelMillimetres = null }
        : reading with { MeasuredAtMilliseconds = time };

    /// <summary>
    /// The time for which the reading counts. A decided one always has a time, an undecided one only if its own is
    /// valid.
    /// </summary>
    internal long? TimeOf(long measuredAtMilliseconds, QuestionableTime.Times sound)
    {
        if (StaysOut)
            return null;
        if (Clock is null)
            return sound.Hold(measuredAtMilliseconds) ? measuredAtMilliseconds : null;
        var time = (Int128)measuredAtMilliseconds + ShiftMilliseconds;
        return time >= EarliestMilliseconds && time < BeyondMilliseconds ? (long)time : null;
    }
}
