using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Shows the progress and speed of a replay in the terminal.</summary>
internal sealed class ReplayProgressBar(ProgressContext shown, string farm) : IProgress<PostingProgress>
{
    private readonly ProgressTask bar = shown.AddTask($"Replaying {Markup.Escape(farm)}", autoStart: true);
    private readonly long since = TimeProvider.System.GetTimestamp();

    public void Report(PostingProgress value)
    {
        var seconds = TimeProvider.System.GetElapsedTime(since).TotalSeconds;
        bar.MaxValue = Math.Max(1, value.LastPosition);
        bar.Value = value.Position;
        bar.Description =
            $"Replaying {Markup.Escape(farm)}: {Plural.Of(value.Batches, "batch", "batches")}, {value.Batches / Math.Max(seconds, 0.001):N0} a second";
    }
}
