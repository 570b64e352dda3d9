using System.Collections.Immutable;

namespace NutrientLedger.Telemetry.Channels;

/// <summary>
/// The record names of stream <c>weather</c>, in the order of a weather reading's columns. Units: RFC 8428 section
/// 12.1.
/// </summary>
internal static class WeatherChannels
{
    public static ImmutableArray<Channel> All { get; } =
    [
        new("temp", "Cel", 1e3, -60, 100),
        new("wind", "m/s", 1e3, 0, 100, ValuesBelowZero.Zero),
        new("rain", "m", 1e6, 0, 100, ValuesBelowZero.LeftOut),
        // In fog a humidity sensor reads a little over 100.
        new("rh", "%RH", 1e3, 0, 110, ValuesBelowZero.Zero),
    ];
}
