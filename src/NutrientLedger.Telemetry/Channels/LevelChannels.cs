using System.Collections.Immutable;

namespace NutrientLedger.Telemetry.Channels;

/// <summary>
/// The record names of stream <c>store</c>, in the order of a level reading's columns. Units: RFC 8428 section 12.1.
/// </summary>
internal static class LevelChannels
{
    public static ImmutableArray<Channel> All { get; } =
    [
        // The zero of a gauge may lie above the floor of the pit, so levels down to -1 m are accepted.
        new("level", "m", 1e3, -1, 50),
        new("temp", "Cel", 1e3, -60, 100),
    ];
}
