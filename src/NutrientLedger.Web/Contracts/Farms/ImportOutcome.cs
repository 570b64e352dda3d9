namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>What is wrong in a farm file, and on which line (from 1; 0 when the file as a whole is meant).</summary>
public sealed record ImportProblem(string File, int Line, string Problem);

/// <summary>
/// What an import did: entries recorded, things found unchanged, or the problems for which nothing was recorded; and
/// the calibrations that the farm's rules adopted with it, if any.
/// </summary>
public sealed record ImportOutcome(
    string FarmId,
    int Recorded,
    int Unchanged,
    IReadOnlyList<ImportProblem> Problems,
    IReadOnlyList<string>? AdoptedByRule = null
);
