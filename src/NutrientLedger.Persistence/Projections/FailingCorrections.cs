using System.Collections.Concurrent;

namespace NutrientLedger.Persistence.Projections;

/// <summary>Farms whose correction failed when it was last tried, and why. For the health check.</summary>
public sealed class FailingCorrections
{
    private readonly ConcurrentDictionary<string, string> reasons = [];

    /// <summary>The first of them by id, or null when none fails.</summary>
    public (string FarmId, string Reason)? First
    {
        get
        {
            var first = reasons.OrderBy(failing => failing.Key, StringComparer.Ordinal).FirstOrDefault();
            return first.Key is null ? null : (first.Key, first.Value);
        }
    }

    internal void Failed(string farmId, string reason) => reasons[farmId] = reason;

    internal void Posted(string farmId) => reasons.TryRemove(farmId, out _);
}
