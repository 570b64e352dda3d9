using NutrientLedger.Hub.Startup;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>A data folder with a settings file, and environment variables that are reset at the end.</summary>
internal sealed class OptionSources : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("options-").FullName;
    private readonly Dictionary<string, string?> before = [];

    public OptionSources()
    {
        // The variables of the test run would be read too.
        foreach (string name in Environment.GetEnvironmentVariables().Keys)
            if (name.StartsWith(HubConfiguration.VariablePrefix, StringComparison.OrdinalIgnoreCase))
                Set(name, null);
    }

    /// <summary>Writes a file into the data folder. Returns its path.</summary>
    public string Write(string content, string name = HubConfiguration.FileName)
    {
        var path = Path.Combine(folder, name);
        File.WriteAllText(path, content);
        return path;
    }

    public void Set(string variable, string? value)
    {
        before.TryAdd(variable, Environment.GetEnvironmentVariable(variable));
        Environment.SetEnvironmentVariable(variable, value);
    }

    public RunSettings Run(
        int? httpPort = null,
        string? database = null,
        string? settingsFile = null,
        string? broker = null,
        string? farms = null,
        string? clientName = null,
        bool keepsFolder = true
    ) =>
        new()
        {
            Data = keepsFolder ? folder : null,
            HttpPort = httpPort,
            Database = database,
            SettingsFile = settingsFile,
            Broker = broker,
            Farms = farms,
            ClientName = clientName,
        };

    public ExistingDatabaseSettings Command(bool demo, string? settingsFile = null) =>
        new()
        {
            Data = folder,
            Demo = demo,
            SettingsFile = settingsFile,
        };

    public void Dispose()
    {
        foreach (var (name, value) in before)
            Environment.SetEnvironmentVariable(name, value);
        Directory.Delete(folder, recursive: true);
    }
}

/// <summary>
/// Environment variables belong to the whole process. So these tests run one at a time and in parallel with no others.
/// </summary>
[CollectionDefinition(nameof(OptionSources), DisableParallelization = true)]
public sealed class OptionSourcesCollection;
