using System.Collections.Immutable;
using System.Text;
using System.Text.Json;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Json;
using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// Reads the factor set a farm uses for available nutrients: a published one, or its own file beside the farm file.
/// Checks that the farm gives every circumstance that the set needs for the farm's methods.
/// </summary>
internal sealed class AvailabilitySection(string folder)
{
    private readonly List<FileProblem> ownProblems = [];

    /// <summary>Errors in the farm's own factor file, if it names one.</summary>
    public IReadOnlyList<FileProblem> OwnProblems => ownProblems;

    public AvailabilitySetChosen Read(JsonObjectReader choice, IReadOnlyCollection<SpreadingMethodRecorded> methods)
    {
        var name = choice.Text("set");
        var own = name.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? OwnFile(choice, name) : null;
        var set =
            name.Length == 0 ? null
            : name.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? OwnSet(choice, name, own)
            : Published(choice, name);
        var season = choice.Whole("fromSeason", 2000, 2199);
        var given =
            choice.Optional("circumstances") is null ? []
            : choice.Nested("circumstances", $"{choice.Label}, circumstances") is { } part ? Given(part)
            : null;
        if (set is not null && given is not null)
            RequireConditions(choice, set, given, methods);
        choice.RejectUnknownMembers();
        return new(
            set?.Id ?? name,
            season,
            (given ?? []).ToImmutableSortedDictionary(StringComparer.Ordinal),
            own is null ? null : Encoding.UTF8.GetString(own)
        );
    }

    private byte[]? OwnFile(JsonObjectReader choice, string name)
    {
        try
        {
            return File.ReadAllBytes(Path.Combine(folder, name));
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            choice.AddProblem("set", $"cannot read the factor file \"{name}\" next to the farm file: {error.Message}");
            return null;
        }
    }

    private FactorSet? OwnSet(JsonObjectReader choice, string name, byte[]? utf8)
    {
        if (utf8 is null)
            return null;
        var reading = FactorSetFile.Read(name, utf8);
        ownProblems.AddRange(reading.Problems);
        if (reading.Set is { } set && PublishedSets.Find(set.Id) is not null)
            choice.AddProblem("set", $"the id \"{set.Id}\" in {name} belongs to a published set; choose another id.");
        return reading.Set;
    }

    private static FactorSet? Published(JsonObjectReader choice, string id)
    {
        var known = PublishedSets.All.Where(set => set.Scheme != Scheme.CropRemoval).ToArray();
        var found = known.FirstOrDefault(set => set.Id == id);
        if (found is null)
            choice.AddProblem(
                "set",
                $"\"set\" is \"{id}\", which is not an availability set; known: {string.Join(", ", known.Select(set => set.Id))}. For your own set write its file name, such as \"our-factors.json\"."
            );
        return found;
    }

    /// <summary>
    /// The given circumstances. Null when one could not be read, because it would also be reported as missing.
    /// </summary>
    private static Dictionary<string, string>? Given(JsonObjectReader part)
    {
        var given = new Dictionary<string, string>();
        var sound = true;
        foreach (var (name, words) in DefaultCircumstances.Known)
        {
            if (part.Optional(name) is not { } value)
                continue;
            if (value.Kind == JsonTokenType.String && words.Contains(value.Text))
            {
                given[name] = value.Text;
                continue;
            }
            part.AddProblem(name, $"\"{name}\" must be one of {string.Join(", ", words)}, not {value.KindInWords}.");
            sound = false;
        }
        part.RejectUnknownMembers();
        return sound ? given : null;
    }

    private static void RequireConditions(
        JsonObjectReader choice,
        FactorSet set,
        Dictionary<string, string> given,
        IReadOnlyCollection<SpreadingMethodRecorded> methods
    )
    {
        var defaults = DefaultCircumstances.Of(given);
        var lacking = methods
            // A misspelt method is a problem of its own section.
            .Where(method => Enum.IsDefined(method.Method))
            .Select(method => defaults.With(method))
            .DefaultIfEmpty(defaults)
            .SelectMany(how => DefaultCircumstances.Missing(set, how))
            .Distinct();
        foreach (var name in lacking.Order(StringComparer.Ordinal))
            choice.AddProblem(
                "circumstances",
                $"{set.Id} needs \"{name}\" for this farm; add it to \"circumstances\" as one of {string.Join(", ", DefaultCircumstances.Known[name])}."
            );
    }
}
