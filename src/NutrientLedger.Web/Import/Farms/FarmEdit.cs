using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// What an import of a farm file does to the farm's configuration. With all missing entries taken back, it is the one
/// that a fresh farm gets from the file and from the history of its fields and factor sets.
/// </summary>
internal sealed class FarmEdit
{
    private readonly FarmFileContent content;
    private readonly Withdrawal? withdrawal;

    public FarmEdit(FarmFileContent content, FarmConfiguration configuration, Withdrawal? withdrawal)
    {
        (this.content, this.withdrawal) = (content, withdrawal);
        Missing = MissingEntries.Of(content, configuration);
        IJournalEvent[] takenBack = [.. Missing.Where(entry => withdrawal?.Means(Words(entry)) == true)];
        Withdrawals = [.. takenBack.Select(entry => withdrawal!.Of(entry))];
        (WithdrawnInWords, NotInFile) = (InWords(takenBack), InWords(Missing.Except(takenBack)));
        Kept = Withdrawals.Aggregate(configuration, (so, withdrawn) => so.With(withdrawn));

        string Words(IJournalEvent entry) => new EntryWording(configuration.Calendar!).Of(entry);
        string[] InWords(IEnumerable<IJournalEvent> entries) => [.. entries.Select(Words).Distinct()];
    }

    /// <summary>The entries that count and are not in the file.</summary>
    public IReadOnlyList<IJournalEvent> Missing { get; }

    /// <summary>The configuration without what is withdrawn, and without what is new in the file.</summary>
    public FarmConfiguration Kept { get; }

    /// <summary>What takes back missing entries. It is recorded after what is new.</summary>
    public IReadOnlyList<EntryWithdrawn> Withdrawals { get; }

    /// <summary>The entries taken back.</summary>
    public IReadOnlyList<string> WithdrawnInWords { get; }

    /// <summary>The missing entries that stay in force.</summary>
    public IReadOnlyList<string> NotInFile { get; }

    /// <summary>What is new in the file. Known after <see cref="Compare"/>.</summary>
    public IReadOnlyList<IJournalEvent> Events { get; private set; } = [];

    /// <summary>How many entries of the file count already.</summary>
    public int Unchanged { get; private set; }

    /// <summary>Compares the file with the configuration, and notes what must not be changed.</summary>
    public void Compare(FileProblems farmProblems, FileProblems fieldProblems)
    {
        var comparison = new ConfigurationComparison(farmProblems, fieldProblems, content, Kept);
        (Events, Unchanged) = (comparison.Events, comparison.Unchanged);
        if (withdrawal?.Only is { } only && WithdrawnInWords.Count == 0)
            farmProblems.Add(
                0,
                $"there is nothing to take back that is called \"{only}\". In force and not in the file: "
                    + (NotInFile.Count == 0 ? "nothing." : $"{string.Join("; ", NotInFile)}.")
            );
        MountingClashes.Report(Events.Aggregate(Kept, (so, entry) => so.With(entry)), farmProblems);
    }
}
