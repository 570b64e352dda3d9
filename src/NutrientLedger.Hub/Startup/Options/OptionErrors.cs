using System.ComponentModel.DataAnnotations;
using System.Globalization;
using NutrientLedger.Agronomy.Factors;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>
/// Finds errors in options. Each error names the option, its source and its value, and says what to do.
/// </summary>
internal static class OptionErrors
{
    private static readonly string[] Sections =
    [
        .. HubOption
            .All.Select(option => option.Key.Split(':'))
            .Where(parts => parts.Length > 1)
            .Select(parts => parts[0])
            .Distinct(),
    ];

    /// <summary>
    /// Errors in values. Ranges and empty values are checked first, the rest only when those are right.
    /// </summary>
    /// <param name="configuration">The options of all sources.</param>
    /// <param name="placeOf">Names the source of an option's value.</param>
    public static IReadOnlyList<string> OfValues(IConfiguration configuration, Func<string, string> placeOf)
    {
        string[] errors =
        [
            .. from option in HubOption.All
            let value = configuration[option.Key]
            where value is not null && !IsTaken(option, value)
            select Error(
                option.Key,
                option.Range is { } range
                    ? $"Set a whole number from {range.Minimum} to {range.Maximum}."
                    : "Set a value, or leave it out."
            ),
        ];
        if (errors.Length > 0)
            return errors;
        var options = configuration.Get<HubOptions>() ?? new();
        return
        [
            .. Results(options).Select(result => Error(result.MemberNames.Single(), result.ErrorMessage!)),
            .. Results(options.Broker)
                .Select(result =>
                    Error($"{nameof(HubOptions.Broker)}:{result.MemberNames.Single()}", result.ErrorMessage!)
                ),
        ];

        // The value is left out, because a connection string may hold a password.
        string Error(string key, string remedy) =>
            key == nameof(HubOptions.Database)
                ? $"{key} is wrong ({placeOf(key)}). {remedy}"
                : $"{key} is \"{configuration[key] ?? Default(key)}\" ({placeOf(key)}). {remedy}";
    }

    /// <summary>Unknown option names, each with the nearest known one.</summary>
    /// <param name="source">The keys and values of one source.</param>
    /// <param name="spelling">How that source spells a key.</param>
    /// <param name="place">The name of that source.</param>
    public static IEnumerable<string> OfNames(
        IEnumerable<KeyValuePair<string, string?>> source,
        Func<string, string> spelling,
        string place
    )
    {
        var given = source.ToArray();
        return from pair in given
            where !given.Any(other => other.Key.StartsWith($"{pair.Key}:", StringComparison.OrdinalIgnoreCase))
            where !IsKnown(pair.Key) && !(pair.Value is null or "" && IsSection(pair.Key))
            select IsSection(pair.Key)
                ? $"{spelling(pair.Key)} is a section ({place}). Set the options in it, such as {spelling(FirstIn(pair.Key))}."
                : $"There is no option {spelling(pair.Key)} ({place}). Did you mean {spelling(Nearest(pair.Key))}?";
    }

    private static object? Default(string key) => HubOption.All.Single(option => option.Key == key).Default;

    private static bool IsKnown(string key) =>
        HubOption.All.Any(option => option.Key.Equals(key, StringComparison.OrdinalIgnoreCase));

    private static bool IsSection(string key) => Sections.Contains(key, StringComparer.OrdinalIgnoreCase);

    private static string FirstIn(string section) =>
        HubOption.All.First(option => option.Key.StartsWith($"{section}:", StringComparison.OrdinalIgnoreCase)).Key;

    private static string Nearest(string key)
    {
        var names = HubOption
            .All.Select(option => option.Key)
            .Concat(Sections)
            .ToDictionary(name => name.ToUpperInvariant());
        return names[NearestNames.To(key.ToUpperInvariant(), names.Keys, 1)[0]];
    }

    // An empty value is an error: an unfilled variable would otherwise silently choose the default.
    private static bool IsTaken(HubOption option, string value) =>
        option.Range is not { } range
            ? !string.IsNullOrWhiteSpace(value)
            : int.TryParse(value, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number)
                && range.IsValid(number);

    private static IEnumerable<ValidationResult> Results(IValidatableObject section) =>
        section.Validate(new ValidationContext(section));
}
