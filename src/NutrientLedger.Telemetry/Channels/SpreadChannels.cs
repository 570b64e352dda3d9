using System.Collections.Immutable;

namespace NutrientLedger.Telemetry.Channels;

/// <summary>
/// The record names of stream <c>spread</c>, in the order of a spread reading's columns. Units: RFC 8428 section 12.1;
/// kg/m3 from RFC 8798 section 2.
/// </summary>
internal static class SpreadChannels
{
    public static ImmutableArray<Channel> All { get; } =
    [
        new("lat", "lat", 1e7, -90, 90),
        new("lon", "lon", 1e7, -180, 180),
        new("speed", "m/s", 1e3, 0, 30, ValuesBelowZero.Zero),
        new("width", "m", 1e3, 0, 60, ValuesBelowZero.Zero),
        Channel.Flag("engaged"),
        new("flow", "m3/s", 1e6, 0, 1, ValuesBelowZero.Zero),
        new("total", "m3", 1e6, 0, 1e7, ValuesBelowZero.LeftOut),
        new("dm", "/", 1e6, 0, 1, ValuesBelowZero.Kept),
        new("tn", "kg/m3", 1e3, 0, 50, ValuesBelowZero.Kept),
        new("nh4n", "kg/m3", 1e3, 0, 50, ValuesBelowZero.Kept),
        new("p", "kg/m3", 1e3, 0, 50, ValuesBelowZero.Kept),
        new("k", "kg/m3", 1e3, 0, 50, ValuesBelowZero.Kept),
    ];
}
