using System.ComponentModel;
using System.Text.Encodings.Web;
using System.Text.Json;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Events;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Writes the events of a farm as JSON, one per line, batches with all readings. Works beside a running hub.
/// </summary>
internal sealed class ExportCommand : AsyncCommand<ExportCommand.Settings>
{
    private static readonly JsonSerializerOptions JsonOptions = new(EventJson.Options)
    {
        // Names are printed without escapes. This is safe because the output goes to no web page.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public sealed class Settings : FarmSettings
    {
        [CommandOption("--from <POSITION>")]
        [Description("First journal position. Default: the start.")]
        public long From { get; init; }

        [CommandOption("--to <POSITION>")]
        [Description("Last journal position. Default: the newest.")]
        public long To { get; init; } = long.MaxValue;

        [CommandOption("--kind <NAME>")]
        [Description("Only events of this type, such as spreading_measured.")]
        public string? Kind { get; init; }

        public override ValidationResult Validate() =>
            Kind is not null && !EventTypes.ByName.ContainsKey(Kind)
                ? ValidationResult.Error(
                    $"Unknown event type \"{Kind}\". Known: {string.Join(", ", EventTypes.ByName.Keys.Order())}."
                )
            : From > To ? ValidationResult.Error("--from must not be above --to.")
            : ValidationResult.Success();
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.ServicesAsync(cancellationToken);
        await KnownFarm.CheckAsync(services, settings.Farm, cancellationToken);
        var export = services.GetRequiredService<JournalExport>();
        await foreach (
            var @event in export.ReadAsync(settings.Farm, settings.From, settings.To, settings.Kind, cancellationToken)
        )
            // Written directly, because the console library would wrap lines to the terminal's width.
            await Console.Out.WriteLineAsync(Line(@event));
        return 0;
    }

    private static string Line(ExportedEvent @event) =>
        JsonSerializer.Serialize(
            new
            {
                @event.Position,
                @event.RecordedAt,
                @event.Stream,
                @event.Version,
                @event.Kind,
                Event = JsonSerializer.SerializeToElement(@event.Event, @event.Event.GetType(), JsonOptions),
            },
            JsonOptions
        );
}
