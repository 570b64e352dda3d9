using System.Collections.Immutable;
using System.Text;
using System.Text.Json;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Reads by which set a farm reckons available nutrients, a published one or a file of its own beside the farm file, and holds against it what the farm tells of itself: a
/// circumstance that the set needs for one of the farm's methods may not be left out.
/// </summary>
internal sealed class AvailabilitySection(string folder)
{
    private readonly List<WrittenProblem> ownProblems = [];

    /// <summary>What is wrong in the farm's own factor file, if it names one.</summary>
    public IReadOnlyList<WrittenProblem> OwnProblems => ownProblems;

    public AvailabilitySetChosen Read(WrittenObject choice, IReadOnlyCollection<SpreadingMethodRecorded> methods)
    {
        var name = choice.Text("set");
        var own = name.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? OwnFile(choice, name) : null;
        var set =
            name.Length == 0 ? null
            : name.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? OwnSet(choice, name, own)
            : Published(choice, name);
        var season = choice.Whole("fromSeason", 2000, 2199);
        var told =
            choice.Optional("circumstances") is null ? []
            : choice.Nested("circumstances", $"{choice.What}, circumstances") is { } part ? Told(part)
            : null;
        if (set is not null && told is not null)
            NothingLacks(choice, set, told, methods);
        choice.NothingElse();
        return new(
            set?.Id ?? name,
            season,
            (told ?? []).ToImmutableSortedDictionary(StringComparer.Ordinal),
            own is null ? null : Encoding.UTF8.GetString(own)
        );
    }

    private byte[]? OwnFile(WrittenObject choice, string name)
    {
        try
        {
            return File.ReadAllBytes(Path.Combine(folder, name));
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            choice.Problem("set", $"the factor file \"{name}\" beside the farm file cannot be read: {trouble.Message}");
            return null;
        }
    }

    private FactorSet? OwnSet(WrittenObject choice, string name, byte[]? utf8)
    {
        if (utf8 is null)
            return null;
        var reading = FactorSetFile.Read(name, utf8);
        ownProblems.AddRange(reading.Problems);
        if (reading.Set is { } set && PublishedSets.Find(set.Id) is not null)
            choice.Problem(
                "set",
                $"the id \"{set.Id}\" in {name} is that of a published set; give your own set another id."
            );
        return reading.Set;
    }

    private static FactorSet? Published(WrittenObject choice, string id)
    {
        var known = PublishedSets.All.Where(set => set.Scheme != Scheme.CropRemoval).ToArray();
        var found = known.FirstOrDefault(set => set.Id == id);
        if (found is null)
            choice.Problem(
                "set",
                $"\"set\" is \"{id}\", which is no set of availability figures; known are {string.Join(", ", known.Select(set => set.Id))}. A set of your own is named by its file, such as \"our-figures.json\"."
            );
        return found;
    }

    /// <summary>The circumstances told; nothing when one of them could not be read, as it would then seem to be lacking too.</summary>
    private static Dictionary<string, string>? Told(WrittenObject part)
    {
        var told = new Dictionary<string, string>();
        var sound = true;
        foreach (var (name, words) in StandingCircumstances.Known)
        {
            if (part.Optional(name) is not { } value)
                continue;
            if (value.Kind == JsonTokenType.String && words.Contains(value.Text))
            {
                told[name] = value.Text;
                continue;
            }
            part.Problem(name, $"\"{name}\" must be one of {string.Join(", ", words)}, not {value.KindInWords}.");
            sound = false;
        }
        part.NothingElse();
        return sound ? told : null;
    }

    private static void NothingLacks(
        WrittenObject choice,
        FactorSet set,
        Dictionary<string, string> told,
        IReadOnlyCollection<SpreadingMethodRecorded> methods
    )
    {
        var standing = StandingCircumstances.Of(told);
        var lacking = methods
            .Select(method => standing.With(method))
            .DefaultIfEmpty(standing)
            .SelectMany(how => StandingCircumstances.Lacking(set, how))
            .Distinct();
        foreach (var name in lacking.Order(StringComparer.Ordinal))
            choice.Problem(
                "circumstances",
                $"the figures of {set.Id} depend on \"{name}\" for this farm; add it to \"circumstances\" as one of {string.Join(", ", StandingCircumstances.Known[name])}."
            );
    }
}
