using System.Text.Json;
using NutrientLedger.Hub.Startup.Options;

namespace NutrientLedger.Hub.Startup;

/// <summary>
/// The hub's options from the settings file, the environment and the command line; the last one wins. All errors are
/// reported at once, and nothing starts on a wrong option.
/// </summary>
internal sealed class HubConfiguration
{
    /// <summary>The settings file in the data folder, read when no other is named.</summary>
    public const string FileName = "nutrient-ledger.json";

    /// <summary>Prefix of the hub's environment variables. Two underscores stand for a colon.</summary>
    public const string VariablePrefix = "NUTRIENT_LEDGER_";

    // Variables of the hub's own tests. They may be set where a hub is started.
    private const string TestVariables = "TEST_";

    private readonly IConfiguration file;
    private readonly IConfiguration environment;
    private readonly IConfiguration commandLine;

    private HubConfiguration(
        string? filePath,
        IConfiguration file,
        IConfiguration environment,
        IConfiguration commandLine
    )
    {
        (FilePath, this.file, this.environment, this.commandLine) = (filePath, file, environment, commandLine);
        // Copied, because a chained configuration skips empty values, which are rejected here.
        Values = new ConfigurationBuilder()
            .AddInMemoryCollection(file.AsEnumerable())
            .AddInMemoryCollection(environment.AsEnumerable())
            .AddInMemoryCollection(commandLine.AsEnumerable())
            .Build();
    }

    /// <summary>Full path of the settings file that was read; null when there is none.</summary>
    public string? FilePath { get; }

    /// <summary>The values of all sources.</summary>
    public IConfiguration Values { get; }

    /// <summary>The validated options.</summary>
    public HubOptions Options => OptionsOf(Values, PlaceOf);

    /// <summary>Reads the sources.</summary>
    /// <param name="settingsFile">A named settings file; it must exist.</param>
    /// <param name="readsDefaultFile">Whether the data folder's settings file is read when none is named.</param>
    /// <param name="given">Command-line values by option key.</param>
    /// <exception cref="HubStartException">A file cannot be read, or an option is unknown or wrong.</exception>
    public static HubConfiguration Read(
        string? settingsFile,
        bool readsDefaultFile,
        IReadOnlyDictionary<string, string?> given
    )
    {
        var commandLine = new ConfigurationBuilder().AddInMemoryCollection(given).Build();
        var environment = new ConfigurationBuilder().AddEnvironmentVariables(VariablePrefix).Build();
        var folder = commandLine[nameof(HubOptions.DataFolder)] ?? environment[nameof(HubOptions.DataFolder)];
        var path =
            settingsFile is not null ? Path.GetFullPath(settingsFile)
            : readsDefaultFile ? DefaultFile(folder)
            : null;
        var configuration = new HubConfiguration(path, FileOf(path), environment, commandLine);
        configuration.CheckNames();
        _ = configuration.Options;
        return configuration;
    }

    /// <summary>The validated options of a configuration.</summary>
    /// <exception cref="HubStartException">Options are wrong; the message names each and says what to do.</exception>
    public static HubOptions OptionsOf(IConfiguration values, Func<string, string>? placeOf = null)
    {
        var errors = OptionErrors.OfValues(values, placeOf ?? (_ => "from the configuration"));
        return errors.Count == 0
            ? values.Get<HubOptions>() ?? new()
            : throw new HubStartException(string.Join('\n', errors));
    }

    /// <summary>This configuration with some values replaced.</summary>
    public IConfiguration With(params (string Key, object Value)[] values) =>
        new ConfigurationBuilder()
            .AddConfiguration(Values)
            .AddInMemoryCollection(
                values.Select(value =>
                    KeyValuePair.Create(value.Key, (string?)FormattableString.Invariant($"{value.Value}"))
                )
            )
            .Build();

    private static string? DefaultFile(string? folder) =>
        (string.IsNullOrWhiteSpace(folder) ? DataFolder.Default : Path.GetFullPath(folder)) is { } at
        && Path.Combine(at, FileName) is var path
        && File.Exists(path)
            ? path
            : null;

    private static IConfiguration FileOf(string? path)
    {
        if (path is null)
            return new ConfigurationBuilder().Build();
        try
        {
            using var stream = File.OpenRead(path);
            return new ConfigurationBuilder().AddJsonStream(stream).Build();
        }
        catch (JsonException error)
        {
            throw Unreadable($"line {error.LineNumber + 1} is not valid JSON");
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or FormatException)
        {
            throw Unreadable(error.Message.TrimEnd('.'));
        }

        HubStartException Unreadable(string reason) =>
            new($"The settings file {path} cannot be read: {reason}. Fix it, or name another with --settings.");
    }

    private static string VariableOf(string key) =>
        VariablePrefix + key.Replace(":", "__", StringComparison.Ordinal).ToUpperInvariant();

    private void CheckNames()
    {
        string[] errors =
        [
            .. OptionErrors.OfNames(file.AsEnumerable(), key => key, $"in {FilePath}"),
            .. OptionErrors.OfNames(
                environment
                    .AsEnumerable()
                    .Where(pair => !pair.Key.StartsWith(TestVariables, StringComparison.OrdinalIgnoreCase)),
                VariableOf,
                "in the environment"
            ),
        ];
        if (errors.Length > 0)
            throw new HubStartException(string.Join('\n', errors));
    }

    private string PlaceOf(string key) =>
        commandLine[key] is not null ? $"from {CommandLine.Names[key]}"
        : environment[key] is not null ? $"from the environment variable {VariableOf(key)}"
        : file[key] is not null ? $"in {FilePath}"
        : "the default";
}
