using NutrientLedger.Persistence.Hubs;

namespace NutrientLedger.Integration.Tests.Persistence.Hubs;

public sealed class SilentHubsTests
{
    private static readonly DateTimeOffset Beat = new(2026, 4, 20, 8, 0, 0, TimeSpan.Zero);

    private readonly SilentHubs silent = new();

    [Fact]
    public void A_hub_whose_beat_was_the_same_for_eight_seconds_is_silent()
    {
        Assert.Equal([], Rounds(from: 0, to: 6));
        Assert.Equal(["north"], Rounds(from: 8, to: 8));
    }

    [Fact]
    public void A_hub_that_beats_is_not_silent()
    {
        for (var at = 0; at < 60; at += 2)
            Assert.Empty(silent.Look([("north", Beat.AddSeconds(at))], TimeSpan.FromSeconds(at)));
    }

    [Fact]
    public void After_a_pause_of_its_own_a_hub_hears_the_others_for_eight_seconds_first()
    {
        Assert.Equal([], Rounds(from: 0, to: 6));
        Assert.Equal([], Rounds(from: 11, to: 17));
        Assert.Equal(["north"], Rounds(from: 19, to: 19));
    }

    [Fact]
    public void After_an_outage_of_the_database_a_hub_hears_the_others_for_eight_seconds_first()
    {
        Assert.Equal([], Rounds(from: 0, to: 6));
        silent.Forget();
        Assert.Equal([], Rounds(from: 8, to: 14));
        Assert.Equal(["north"], Rounds(from: 16, to: 16));
    }

    /// <summary>Looks every other second. Returns who is silent at the end.</summary>
    private IEnumerable<string> Rounds(int from, int to)
    {
        IReadOnlyList<(string Name, DateTimeOffset BeatAt)> found = [];
        for (var at = from; at <= to; at += 2)
            found = silent.Look([("north", Beat)], TimeSpan.FromSeconds(at));
        return found.Select(hub => hub.Name);
    }
}
