using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;

namespace NutrientLedger.Office.Asking;

/// <summary>A pit's story from a day up to, but not including, another: of each day, and of the whole; as of a journal position. What is running is not over yet.</summary>
internal sealed record ReckonedPit(
    string FarmId,
    FarmRegistered Farm,
    PitRegistered Pit,
    DateOnly From,
    DateOnly To,
    long Position,
    IReadOnlyList<(DateOnly Day, PitStatement Statement, bool IsRunning)> Days,
    PitStatement Whole,
    bool IsRunning
);
