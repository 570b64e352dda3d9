using System.Collections.Immutable;
using System.ComponentModel;
using NutrientLedger.Agronomy.Emission;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Files;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Shows the source of a coefficient, lists the sets or the coefficients of a set, and checks a farm's own set.
/// </summary>
internal sealed class ExplainCommand : Command<ExplainCommand.Settings>
{
    private const int NamesSuggested = 5;

    public sealed class Settings : CommandSettings
    {
        [CommandArgument(0, "[COEFFICIENT]")]
        [Description("Name of the coefficient. Without it, lists the sets or the coefficients of one set.")]
        public string? Coefficient { get; init; }

        [CommandOption("--set <ID>")]
        [Description("Search this set only.")]
        public string? Set { get; init; }

        [CommandOption("--file <FILE>")]
        [Description("Check your own factor set (JSON) and search it instead.")]
        public string? File { get; init; }

        [CommandOption("--json")]
        [Description("Print JSON for machines.")]
        public bool Json { get; init; }

        public override ValidationResult Validate() =>
            Set is not null && File is not null
                ? ValidationResult.Error("Use --set for a published set or --file for your own, not both.")
                : ValidationResult.Success();
    }

    public override int Execute(CommandContext context, Settings settings, CancellationToken cancellationToken)
    {
        var page = new CoefficientReport(settings.Json);
        var sets = Sets(settings, page);
        if (sets.IsEmpty)
            return 1;
        if (settings.Coefficient is { } name)
            return Explain(name, sets, page);
        if (settings.Set is null && settings.File is null)
            page.Sets(sets);
        else
            page.Coefficients(sets[0]);
        return 0;
    }

    private static int Explain(string name, ImmutableArray<ExplainedSet> sets, CoefficientReport page)
    {
        var found = ExplainedSet.Find(name, sets);
        if (found.IsEmpty)
        {
            var known = sets.SelectMany(set => set.Coefficients).Select(coefficient => coefficient.Name);
            page.Unknown("coefficient", name, NearestNames.To(name, known, NamesSuggested));
            return 1;
        }
        page.Explanations(found);
        return 0;
    }

    /// <summary>The sets to search; none after an error, which is already printed.</summary>
    private static ImmutableArray<ExplainedSet> Sets(Settings settings, CoefficientReport page)
    {
        if (settings.File is { } file)
            return OwnSet(file, page) is { } own ? [ExplainedSet.Of(own)] : [];
        ImmutableArray<ExplainedSet> published =
        [
            .. PublishedSets.All.Select(ExplainedSet.Of),
            .. EmissionSets.All.Select(EmissionExplanation.Of),
        ];
        if (settings.Set is not { } id)
            return published;
        var chosen = published.Where(set => set.Id == id).ToImmutableArray();
        if (chosen.IsEmpty)
            page.Unknown("set", id, NearestNames.To(id, published.Select(set => set.Id), NamesSuggested));
        return chosen;
    }

    private static FactorSet? OwnSet(string file, CoefficientReport page)
    {
        byte[] bytes;
        try
        {
            bytes = File.ReadAllBytes(file);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            page.Problems([new(file, 0, $"The file could not be read: {error.Message}")]);
            return null;
        }
        var reading = FactorSetFile.Read(file, bytes);
        if (reading.Set is null)
            page.Problems(reading.Problems);
        return reading.Set;
    }
}
