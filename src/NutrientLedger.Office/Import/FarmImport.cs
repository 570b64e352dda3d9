using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>What is wrong in a farm file, and on which line.</summary>
public sealed record ImportProblem(string File, int Line, string Problem);

/// <summary>What an import did: entries recorded, things found unchanged, or the problems for which nothing was recorded.</summary>
public sealed record ImportOutcome(string FarmId, int Recorded, int Unchanged, IReadOnlyList<ImportProblem> Problems);

/// <summary>Reads a farm file with its GeoJSON fields and records what is new or changed in the farm's register.</summary>
public sealed class FarmImport(RegisterStore registers)
{
    /// <summary>Imports the farm file at a path; importing the same file again records nothing.</summary>
    public Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        throw new NotImplementedException(registers.ToString());
}
