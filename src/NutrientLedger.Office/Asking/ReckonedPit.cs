using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Asking;

/// <summary>A pit's story from a day up to, but not including, another: of each day that has begun, and of the whole; as of a journal position, up to a moment of farm time.</summary>
internal sealed record ReckonedPit(
    string FarmId,
    FarmRegistered Farm,
    PitRegistered Pit,
    DateOnly From,
    DateOnly To,
    long Position,
    IReadOnlyList<ReckonedDay> Days,
    ReckonedStretch Whole,
    DateTimeOffset ReckonedTo,
    bool IsBeingCorrected
);

/// <summary>A stretch of time with its statement; one that is not over yet is reckoned up to the moment of asking.</summary>
internal record ReckonedStretch(PitStatement Statement, bool IsOver);

/// <summary>One day of farm time.</summary>
internal sealed record ReckonedDay(DateOnly Day, PitStatement Statement, bool IsOver)
    : ReckonedStretch(Statement, IsOver);
