using System.Collections.Immutable;
using System.ComponentModel.DataAnnotations;
using System.Reflection;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>One option by its key, such as Ingestion:DrainSecondsMax, and the property it is bound to.</summary>
internal sealed record HubOption(string Key, PropertyInfo Property)
{
    /// <summary>Every option of <see cref="HubOptions"/> and its sections.</summary>
    public static ImmutableArray<HubOption> All { get; } = [.. Of(typeof(HubOptions), "")];

    /// <summary>Min and max value; null for a text option.</summary>
    public RangeAttribute? Range => Property.GetCustomAttribute<RangeAttribute>();

    /// <summary>The default value; null for a text option.</summary>
    public object? Default => Property.GetValue(Activator.CreateInstance(Property.DeclaringType!));

    private static IEnumerable<HubOption> Of(Type section, string path) =>
        section
            .GetProperties()
            .SelectMany(property =>
                property.PropertyType.Namespace == typeof(HubOptions).Namespace
                    ? Of(property.PropertyType, $"{path}{property.Name}:")
                    : [new HubOption($"{path}{property.Name}", property)]
            );
}
