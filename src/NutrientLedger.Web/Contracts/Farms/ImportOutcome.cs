namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>An error in an imported file, with its line (from 1; 0 for the whole file).</summary>
public sealed record ImportProblem(string File, int Line, string Problem);

/// <summary>
/// The result of an import: how many events were recorded and how much was unchanged, or the problems, with nothing
/// recorded. Also the calibrations that the farm's rules adopted, if any, and what each rule did and why.
/// </summary>
public record ImportOutcome(
    string FarmId,
    int Recorded,
    int Unchanged,
    IReadOnlyList<ImportProblem> Problems,
    IReadOnlyList<string>? AdoptedByRule = null,
    IReadOnlyList<string>? RuleNotes = null
);
