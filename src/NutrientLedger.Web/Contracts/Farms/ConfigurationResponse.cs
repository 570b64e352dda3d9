using System.Text.Json;

namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>A farm's configuration events in the order of recording.</summary>
internal sealed record ConfigurationResponse(string Farm, long? AsOf, IReadOnlyList<ConfigurationEventResponse> Events);

/// <summary>One configuration event under its stored name, as in the journal.</summary>
internal sealed record ConfigurationEventResponse(
    long Position,
    DateTimeOffset RecordedAt,
    string Name,
    JsonElement Event
);
