using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Persistence.DeadLetters;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>
/// Each option has bounds. Beyond them the hub does not start and names the option, its value and its source.
/// </summary>
[Collection(nameof(OptionSources))]
public sealed class OptionRangeTests : IDisposable
{
    private readonly OptionSources sources = new();

    public static TheoryData<string> Ranged =>
        [.. HubOption.All.Where(option => option.Range is not null).Select(option => option.Key)];

    public static TheoryData<string> Texts =>
        [.. HubOption.All.Where(option => option.Range is null).Select(option => option.Key)];

    public void Dispose() => sources.Dispose();

    [Theory]
    [MemberData(nameof(Ranged))]
    public void A_value_out_of_range_is_rejected_with_name_value_source_and_range(string key)
    {
        var (min, max) = Bounds(key);
        foreach (var wrong in new[] { $"{min - 1}", $"{max + 1}", "many", "2.5", " " })
        {
            var variable = "NUTRIENT_LEDGER_" + key.Replace(":", "__", StringComparison.Ordinal).ToUpperInvariant();
            sources.Set(variable, wrong);
            var error = Assert.Throws<HubStartException>(() => sources.Run().ReadConfiguration()).Message;
            Assert.Equal(
                $"{key} is \"{wrong}\" (from the environment variable {variable}). "
                    + $"Set a whole number from {min} to {max}.",
                error
            );
        }
    }

    [Theory]
    [MemberData(nameof(Ranged))]
    public void Both_ends_of_a_range_are_accepted_and_reach_the_options(string key)
    {
        var option = HubOption.All.Single(option => option.Key == key);
        foreach (var end in new[] { Bounds(key).Min, Bounds(key).Max })
        {
            sources.Write(Json(key, end));
            var options = sources.Run().ReadConfiguration().Options;
            object section = key.Split(':')[0] switch
            {
                nameof(HubOptions.Ingestion) => options.Ingestion,
                nameof(HubOptions.DeadLetters) => options.DeadLetters,
                _ => options,
            };
            Assert.Equal(end, option.Property.GetValue(section));
            // Neither bound may overflow the limits it sets.
            var limits = options.Ingestion.ToLimits(options.DeadLetters);
            Assert.True(limits is { PacketBytesMax: > 0, WaitingBytesMax: > 0, ReceiveMaximum: > 0 });
        }
    }

    [Fact]
    public void All_wrong_values_are_reported_at_once_with_their_file()
    {
        var path = sources.Write("""{ "HttpPort": 70000, "DeadLetters": { "OpenPerFarmMax": 0 } }""");
        Assert.Equal(
            [
                $"HttpPort is \"70000\" (in {path}). Set a whole number from 0 to 65535.",
                $"DeadLetters:OpenPerFarmMax is \"0\" (in {path}). Set a whole number from 1 to 1000000.",
            ],
            Assert.Throws<HubStartException>(() => sources.Run().ReadConfiguration()).Message.Split('\n')
        );
    }

    [Fact]
    public void Defaults_are_those_of_the_projects()
    {
        Assert.Equal(new IngestionLimits(), new IngestionOptions().ToLimits(new()));
        Assert.Equal(new DeadLetterLimits(), new DeadLetterOptions().ToLimits());
    }

    [Fact]
    public void Each_limit_is_set_by_an_option_of_its_own()
    {
        // Changes one option after the other; each must change the limits, and no two in the same way.
        var different = new HashSet<IngestionLimits> { new() };
        foreach (var option in HubOption.All.Where(option => option.Key.Contains(':') && option.Range is not null))
        {
            sources.Write(Json(option.Key, Bounds(option.Key).Max));
            var options = sources.Run().ReadConfiguration().Options;
            Assert.True(different.Add(options.Ingestion.ToLimits(options.DeadLetters)), option.Key);
        }
    }

    [Theory]
    [InlineData("Broker:Address is \"somewhere\" (from --broker). Write HOST:PORT", "somewhere", null, null)]
    [InlineData("Broker:Farms is \"a\" (from --farms). It needs Broker:Address", null, "a", null)]
    [InlineData("Broker:ClientName is \"n\" (from --client-name). It needs Broker:Address", null, null, "n")]
    [InlineData("Broker:Farms is \",\" (from --farms). Leave it out", "127.0.0.1:1", ",", null)]
    [InlineData("\"A B\" is not a farm id", "127.0.0.1:1", "a,A B", null)]
    public void A_wrong_broker_is_rejected(string expected, string? broker, string? farms, string? clientName) =>
        Assert.Contains(expected, Rejection(sources.Run(broker: broker, farms: farms, clientName: clientName)));

    [Theory]
    [InlineData(80, true)]
    [InlineData(81, false)]
    public void A_client_name_has_80_characters_at_most(int length, bool isTaken)
    {
        var settings = sources.Run(broker: "127.0.0.1:1", clientName: new string('n', length));
        if (isTaken)
            Assert.Equal(length, settings.ReadConfiguration().Options.Broker.ToBroker()!.ClientName.Length);
        else
            Assert.EndsWith("(from --client-name). Use 1 to 80 characters.", Rejection(settings));
    }

    [Theory]
    [MemberData(nameof(Texts))]
    public void An_empty_text_is_rejected(string key)
    {
        var path = sources.Write(Json(key, "\"\""));
        var error = Rejection(sources.Run(keepsFolder: key != nameof(HubOptions.DataFolder), settingsFile: path));
        Assert.StartsWith(key, error, StringComparison.Ordinal);
        Assert.EndsWith($"(in {path}). Set a value, or leave it out.", error, StringComparison.Ordinal);
    }

    [Fact]
    public void Two_equal_ports_are_rejected_unless_the_broker_is_external()
    {
        Assert.Equal(
            "HttpPort is \"1883\" (from --http-port). MqttPort is the same. Choose another port, or 0 for any free port.",
            Rejection(sources.Run(httpPort: 1883))
        );
        var options = sources.Run(httpPort: 1883, broker: "127.0.0.1:1").ReadConfiguration().Options;
        Assert.Equal(("127.0.0.1", 1), (options.Broker.ToBroker()!.Host, options.Broker.ToBroker()!.Port));
    }

    [Theory]
    [InlineData("Username=hub;Password=zebra-42", "it names no host")]
    [InlineData("Hots=db;Password=zebra-42", "hots")]
    public void A_wrong_connection_string_is_rejected_without_its_password(string connection, string reason)
    {
        var error = Rejection(sources.Run(database: connection));
        Assert.StartsWith("Database is wrong (from --database). Invalid connection string: ", error);
        Assert.Contains(reason, error, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("zebra", error, StringComparison.Ordinal);
    }

    private static string Rejection(DatabaseSettings settings) =>
        Assert.Throws<HubStartException>(() => settings.ReadConfiguration()).Message;

    private static (int Min, int Max) Bounds(string key)
    {
        var range = HubOption.All.Single(option => option.Key == key).Range!;
        return ((int)range.Minimum, (int)range.Maximum);
    }

    private static string Json(string key, object value) =>
        key.Split(':') is [var section, var name]
            ? FormattableString.Invariant($$"""{ "{{section}}": { "{{name}}": {{value}} } }""")
            : FormattableString.Invariant($$"""{ "{{key}}": {{value}} }""");
}
