using NutrientLedger.Hub.Startup;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>
/// Where options are read, which source takes precedence, and what is rejected before anything starts.
/// </summary>
[Collection(nameof(OptionSources))]
public sealed class HubConfigurationTests : IDisposable
{
    private readonly OptionSources sources = new();

    public void Dispose() => sources.Dispose();

    [Fact]
    public void Without_any_source_the_defaults_hold()
    {
        var options = sources.Run().ReadConfiguration().Options;
        Assert.Equal((5080, 1883, 64), (options.HttpPort, options.MqttPort, options.Ingestion.WaitingMebibytesMax));
        Assert.Null(options.Database);
    }

    [Fact]
    public void The_environment_overrides_the_file_and_the_command_line_overrides_both()
    {
        sources.Write(
            """{ "HttpPort": 1, "MqttPort": 2, "Ingestion": { "DrainSecondsMax": 3, "CommitSecondsMax": 4 } }"""
        );
        sources.Set("NUTRIENT_LEDGER_HTTPPORT", "11");
        sources.Set("NUTRIENT_LEDGER_INGESTION__DRAINSECONDSMAX", "13");

        var options = sources.Run(httpPort: 21).ReadConfiguration().Options;

        Assert.Equal((21, 2), (options.HttpPort, options.MqttPort));
        Assert.Equal((13, 4), (options.Ingestion.DrainSecondsMax, options.Ingestion.CommitSecondsMax));
    }

    [Fact]
    public void The_database_can_be_set_in_each_source()
    {
        sources.Write("""{ "Database": "Host=of-file" }""");
        Assert.Equal("Host=of-file", sources.Run().ReadConfiguration().Options.Database);
        sources.Set("NUTRIENT_LEDGER_DATABASE", "Host=of-environment");
        Assert.Equal("Host=of-environment", sources.Run().ReadConfiguration().Options.Database);
        Assert.Equal(
            "Host=of-command-line",
            sources.Run(database: "Host=of-command-line").ReadConfiguration().Options.Database
        );
    }

    [Fact]
    public void A_named_settings_file_replaces_the_default_one()
    {
        sources.Write("""{ "HttpPort": 1, "MqttPort": 2 }""");
        var named = sources.Write("""{ "HttpPort": 5 }""", "other.json");

        var configuration = sources.Run(settingsFile: named).ReadConfiguration();

        Assert.Equal((5, 1883), (configuration.Options.HttpPort, configuration.Options.MqttPort));
        Assert.Equal(named, configuration.FilePath);
    }

    [Fact]
    public void The_settings_file_is_the_one_in_the_data_folder_that_counts()
    {
        var folder = Path.GetDirectoryName(sources.Write("""{ "HttpPort": 5 }"""));
        sources.Set("NUTRIENT_LEDGER_DATAFOLDER", "/nowhere");
        Assert.Equal(5, sources.Run().ReadConfiguration().Options.HttpPort);
        sources.Set("NUTRIENT_LEDGER_DATAFOLDER", folder);
        Assert.Equal(5, sources.Run(keepsFolder: false).ReadConfiguration().Options.HttpPort);
    }

    [Fact]
    public void A_demo_reads_only_a_named_settings_file()
    {
        var usual = sources.Write("""{ "Database": "Host=of-a-real-farm" }""");

        Assert.Null(sources.Command(demo: true).ReadConfiguration().Options.Database);
        Assert.Equal("Host=of-a-real-farm", sources.Command(demo: false).ReadConfiguration().Options.Database);
        Assert.Equal("Host=of-a-real-farm", sources.Command(demo: true, usual).ReadConfiguration().Options.Database);
    }

    [Theory]
    [InlineData("""{ "HtpPort": 1 }""", "There is no option HtpPort", "Did you mean HttpPort?")]
    [InlineData("""{ "HttpPort": { "Value": 1 } }""", "There is no option HttpPort:Value", "Did you mean HttpPort?")]
    [InlineData("""{ "Ingestion": 5 }""", "Ingestion is a section", "such as Ingestion:PacketKibibytesMax.")]
    [InlineData("""{ "Deadletter": { } }""", "There is no option Deadletter", "Did you mean DeadLetters?")]
    [InlineData(
        """{ "Ingestion": { "DrainSeconds": null } }""",
        "There is no option Ingestion:DrainSeconds",
        "Did you mean Ingestion:DrainSecondsMax?"
    )]
    public void An_unknown_name_in_the_file_is_rejected_with_the_nearest_known(
        string file,
        string expected,
        string nearest
    )
    {
        var path = sources.Write(file);
        var error = Rejection(sources.Run());
        Assert.Contains($"{expected} (in {path})", error, StringComparison.Ordinal);
        Assert.Contains(nearest, error, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unknown_environment_variable_is_rejected_but_those_of_the_tests_are_not()
    {
        sources.Set("NUTRIENT_LEDGER_TEST_ANYTHING", "1");
        Assert.Equal(5080, sources.Run().ReadConfiguration().Options.HttpPort);
        sources.Set("NUTRIENT_LEDGER_HTTP_PORT", "1");
        Assert.Equal(
            "There is no option NUTRIENT_LEDGER_HTTP_PORT (in the environment). Did you mean NUTRIENT_LEDGER_HTTPPORT?",
            Rejection(sources.Run())
        );
    }

    [Theory]
    [InlineData("{ \"HttpPort\": 1,\n \"MqttPort\": }", "line 2 is not valid JSON")]
    [InlineData("[1]", "cannot be read")]
    [InlineData("""{ "HttpPort": 1, "httpport": 2 }""", "cannot be read")]
    [InlineData("", "cannot be read")]
    public void A_file_without_settings_is_rejected_with_its_path(string file, string expected)
    {
        var path = sources.Write(file);
        var error = Rejection(sources.Run());
        Assert.Contains($"The settings file {path} cannot be read", error, StringComparison.Ordinal);
        Assert.Contains(expected, error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_missing_named_file_is_rejected() =>
        Assert.Contains("/nowhere/settings.json", Rejection(sources.Run(settingsFile: "/nowhere/settings.json")));

    private static string Rejection(DatabaseSettings settings) =>
        Assert.Throws<HubStartException>(() => settings.ReadConfiguration()).Message;
}
