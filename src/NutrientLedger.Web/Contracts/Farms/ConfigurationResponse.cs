using System.Text.Json;

namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>A farm's register: every entry in the order in which it was recorded.</summary>
public sealed record ConfigurationResponse(string Farm, long? AsOf, IReadOnlyList<ConfigurationEventResponse> Events);

/// <summary>One entry under its stored name, as the journal holds it.</summary>
public sealed record ConfigurationEventResponse(
    long Position,
    DateTimeOffset RecordedAt,
    string Name,
    JsonElement Event
);
