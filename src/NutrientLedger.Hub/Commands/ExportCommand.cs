using System.ComponentModel;
using System.Text.Encodings.Web;
using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Store;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Writes the entries of a farm's journal as JSON, one a line, packs with all their readings. Works beside a running hub.</summary>
public sealed class ExportCommand : AsyncCommand<ExportCommand.Settings>
{
    private static readonly JsonSerializerOptions Written = new(EntryForm.Json)
    {
        // Names of farms and fields are printed as they are spoken, not as escapes; the output goes to no web page.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public sealed class Settings : FarmSettings
    {
        [CommandOption("--from <POSITION>")]
        [Description("First journal position (usually the beginning).")]
        public long From { get; init; }

        [CommandOption("--to <POSITION>")]
        [Description("Last journal position (usually the newest).")]
        public long To { get; init; } = long.MaxValue;

        [CommandOption("--kind <NAME>")]
        [Description("Only entries stored under this name, such as spreading_measured.")]
        public string? Kind { get; init; }

        public override ValidationResult Validate() =>
            Kind is not null && !StoredNames.ByName.ContainsKey(Kind)
                ? ValidationResult.Error(
                    $"There is no kind of entry \"{Kind}\". Known: {string.Join(", ", StoredNames.ByName.Keys.Order())}."
                )
            : From > To ? ValidationResult.Error("--from is above --to; nothing lies between them.")
            : ValidationResult.Success();
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.StoreAsync(cancellationToken);
        await KnownFarm.CheckAsync(services, settings.Farm, cancellationToken);
        var export = services.GetRequiredService<JournalExport>();
        await foreach (
            var entry in export.ReadAsync(settings.Farm, settings.From, settings.To, settings.Kind, cancellationToken)
        )
            // Straight to the console: lines of a machine are never folded to its width.
            await Console.Out.WriteLineAsync(Line(entry));
        return 0;
    }

    private static string Line(ExportedEntry entry) =>
        JsonSerializer.Serialize(
            new
            {
                entry.Position,
                entry.RecordedAt,
                entry.Stream,
                entry.Version,
                entry.Kind,
                Entry = JsonSerializer.SerializeToElement(entry.Entry, entry.Entry.GetType(), Written),
            },
            Written
        );
}
