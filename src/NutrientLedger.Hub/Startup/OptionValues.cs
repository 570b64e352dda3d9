using System.Reflection;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Startup;

/// <summary>
/// Rejects an option without its value, such as "--data" at the end. The command-line library would ignore it, and the
/// command would work on other data than was meant.
/// </summary>
internal sealed class OptionValues : ICommandInterceptor
{
    /// <inheritdoc/>
    public void Intercept(CommandContext context, CommandSettings settings)
    {
        foreach (var property in settings.GetType().GetProperties())
            if (
                property.GetCustomAttribute<CommandOptionAttribute>() is
                { ValueName: { Length: > 0 } value, ValueIsOptional: false } option
            )
                foreach (var name in option.LongNames.Select(name => $"--{name}"))
                    if (IsWithoutValue(context.Arguments, name))
                        throw new HubStartException($"{name} needs a value: {name} {value}.");
    }

    private static bool IsWithoutValue(IReadOnlyList<string> arguments, string name)
    {
        for (var i = 0; i < arguments.Count; i++)
            if (
                arguments[i] == name
                && (i + 1 == arguments.Count || arguments[i + 1].StartsWith("--", StringComparison.Ordinal))
            )
                return true;
        return false;
    }
}
