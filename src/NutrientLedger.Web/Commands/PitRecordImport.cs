using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Import.Records;

namespace NutrientLedger.Web.Commands;

/// <summary>Imports hand records: all of a file or none. Known records are not recorded again.</summary>
public sealed class PitRecordImport(ConfigurationStore configurations)
{
    public Task<ImportOutcome> ImportAsync(string path, CancellationToken cancellationToken) =>
        ImportAttempts.OfFileAsync(
            path,
            (name, bytes) => RecordAsync(name, bytes, null, cancellationToken),
            cancellationToken
        );

    /// <summary>
    /// Imports hand records (UTF-8 JSON), only for the given farm if one is given. The name appears in problems.
    /// </summary>
    public Task<ImportOutcome> RecordAsync(
        string name,
        byte[] utf8,
        string? onlyFarm,
        CancellationToken cancellationToken
    ) => ImportAttempts.TryAsync(() => RecordOnceAsync(PitRecordFile.Read(name, utf8), onlyFarm, cancellationToken));

    private async Task<ImportOutcome> RecordOnceAsync(
        PitRecordFile file,
        string? onlyFarm,
        CancellationToken cancellationToken
    )
    {
        if (file.FarmId.Length == 0)
            return ImportAttempts.WithProblems("", file.Problems);
        if (onlyFarm is not null && onlyFarm != file.FarmId)
        {
            file.Problems.Add(
                1,
                $"The records are for farm \"{file.FarmId}\", not \"{onlyFarm}\". Send them to that farm."
            );
            return ImportAttempts.WithProblems(onlyFarm, file.Problems);
        }
        var at = await configurations.ReadAsync(file.FarmId, null, cancellationToken);
        if (at.Configuration.Farm is null)
            file.Problems.Add(1, $"There is no farm \"{file.FarmId}\"; import its farm file first.");
        else
        {
            var events = file.Events(at.Configuration);
            if (!file.Problems.Any)
            {
                var known = at.Events.Select(recorded => recorded.Event).ToHashSet();
                var wanted = events.Distinct().Where(@event => !known.Contains(@event)).ToArray();
                await configurations.RecordAsync(file.FarmId, at.Version, wanted, cancellationToken);
                return new(file.FarmId, wanted.Length, events.Count - wanted.Length, []);
            }
        }
        return ImportAttempts.WithProblems(file.FarmId, file.Problems);
    }
}
