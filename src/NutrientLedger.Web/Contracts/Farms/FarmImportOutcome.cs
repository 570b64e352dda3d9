namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>
/// The result of importing a farm file. In words, also the entries that are not in the file and stay in force, and
/// those that were taken back. Recorded counts what is new in the file.
/// </summary>
public sealed record FarmImportOutcome(
    string FarmId,
    int Recorded,
    int Unchanged,
    IReadOnlyList<ImportProblem> Problems,
    IReadOnlyList<string> NotInFile,
    IReadOnlyList<string> Withdrawn
) : ImportOutcome(FarmId, Recorded, Unchanged, Problems);
