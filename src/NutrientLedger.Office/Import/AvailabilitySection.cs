using System.Collections.Immutable;
using System.Text.Json;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Import.Written;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Reads by which published set a farm reckons available nutrients, and holds against it what the farm tells of itself: a
/// circumstance that the set needs for one of the farm's methods may not be left out.
/// </summary>
internal static class AvailabilitySection
{
    public static AvailabilitySetChosen Read(WrittenObject choice, IReadOnlyCollection<SpreadingMethodRecorded> methods)
    {
        var id = choice.Text("set");
        var season = choice.Whole("fromSeason", 2000, 2199);
        var told =
            choice.Optional("circumstances") is null ? []
            : choice.Nested("circumstances", $"{choice.What}, circumstances") is { } part ? Told(part)
            : null;
        if (id.Length > 0 && Set(choice, id) is { } set && told is not null)
            NothingLacks(choice, set, told, methods);
        choice.NothingElse();
        return new(id, season, (told ?? []).ToImmutableSortedDictionary(StringComparer.Ordinal));
    }

    private static FactorSet? Set(WrittenObject choice, string id)
    {
        var known = PublishedSets.All.Where(set => set.Scheme != Scheme.CropRemoval).ToArray();
        var found = known.FirstOrDefault(set => set.Id == id);
        if (found is null)
            choice.Problem(
                "set",
                $"\"set\" is \"{id}\", which is no set of availability figures; known are {string.Join(", ", known.Select(set => set.Id))}."
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
