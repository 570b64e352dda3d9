using NutrientLedger.Journal;

namespace NutrientLedger.Telemetry;

/// <summary>The parts of a telemetry topic: <c>agri/v1/{farm}/{equipment}/{stream}</c>.</summary>
internal readonly record struct WireTopic(string FarmId, string EquipmentId, TelemetryStream Stream)
{
    /// <summary>Parses a topic. Returns false and the reason when it is wrong.</summary>
    public static bool TryParse(string topic, out WireTopic parsed, out string rejection)
    {
        parsed = default;
        Span<Range> levels = stackalloc Range[6];
        var text = topic.AsSpan();
        if (text.Split(levels, '/') != 5 || text[levels[0]] is not "agri" || text[levels[1]] is not "v1")
        {
            rejection = "The topic must have the form agri/v1/{farm}/{equipment}/{stream}.";
            return false;
        }
        if (!GivenId.IsValid(text[levels[2]]) || !GivenId.IsValid(text[levels[3]]))
        {
            rejection = "Farm and equipment in the topic must be 1 to 40 of the characters a-z, 0-9 and -.";
            return false;
        }
        TelemetryStream? stream = text[levels[4]] switch
        {
            "spread" => TelemetryStream.Spread,
            "store" => TelemetryStream.Store,
            "weather" => TelemetryStream.Weather,
            _ => null,
        };
        if (stream is not { } known)
        {
            rejection = "The stream at the end of the topic must be spread, store or weather.";
            return false;
        }
        parsed = new(text[levels[2]].ToString(), text[levels[3]].ToString(), known);
        rejection = "";
        return true;
    }
}
