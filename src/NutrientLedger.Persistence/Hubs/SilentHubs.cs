namespace NutrientLedger.Persistence.Hubs;

/// <summary>
/// Tells which other hubs are silent, from what one hub sees of them round by round. A hub counts as silent when its
/// beat was the same for <see cref="SilenceMin"/> while this hub looked without a pause. After an outage of the
/// database, or its own suspension, this hub begins to look anew, because the others could not be heard.
/// </summary>
internal sealed class SilentHubs
{
    /// <summary>The time from round to round.</summary>
    public static readonly TimeSpan Interval = TimeSpan.FromSeconds(2);

    /// <summary>With a lock poll of a second and connecting, a frozen hub is replaced within some 12 s.</summary>
    public static readonly TimeSpan SilenceMin = TimeSpan.FromSeconds(8);

    private Dictionary<string, (DateTimeOffset BeatAt, TimeSpan SeenAt)> seen = [];
    private TimeSpan? lastRound;

    /// <summary>Forgets what was seen, because a round failed.</summary>
    public void Forget() => (seen, lastRound) = ([], null);

    /// <summary>Takes what a round sees. Returns the hubs that are silent, each with its last beat.</summary>
    /// <param name="others">The beats of the other hubs.</param>
    /// <param name="now">This hub's own time, from any beginning.</param>
    public IReadOnlyList<(string Name, DateTimeOffset BeatAt)> Look(
        IReadOnlyList<(string Name, DateTimeOffset BeatAt)> others,
        TimeSpan now
    )
    {
        if (now - lastRound > 2 * Interval)
            seen = [];
        lastRound = now;
        seen = others.ToDictionary(
            other => other.Name,
            other =>
                seen.TryGetValue(other.Name, out var before) && before.BeatAt == other.BeatAt
                    ? before
                    : (other.BeatAt, now)
        );
        return [.. others.Where(other => now - seen[other.Name].SeenAt >= SilenceMin)];
    }
}
