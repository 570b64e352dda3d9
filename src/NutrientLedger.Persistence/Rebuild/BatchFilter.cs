using System.Globalization;
using NutrientLedger.Journal;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// The farm's batches that are wanted, as a condition of SQL. COPY takes no parameters, so texts are quoted as
/// literals.
/// </summary>
internal sealed class BatchFilter
{
    private BatchFilter(FormattableString condition) => Condition = condition.ToString(CultureInfo.InvariantCulture);

    public string Condition { get; }

    /// <summary>All batches of a farm after one position and up to another.</summary>
    public static BatchFilter All(string farmId, long after, long upTo) =>
        new($"farm = {Literal(farmId)} and position > {after} and position <= {upTo}");

    /// <summary>The batches up to a position of those devices alone whose readings a correction affects.</summary>
    public static IEnumerable<BatchFilter> Of(string farmId, Touched touched, long upTo)
    {
        if (touched.Applicators.Count > 0)
            yield return Of(farmId, TelemetryStream.Spread, touched.Applicators, upTo);
        if (touched.Levels)
            yield return Of(farmId, TelemetryStream.Store, [], upTo);
    }

    /// <summary>
    /// The batches of one stream of a farm up to a position, of some devices (of all when none is named).
    /// </summary>
    private static BatchFilter Of(string farmId, TelemetryStream stream, IReadOnlyCollection<string> devices, long upTo)
    {
        var byDevice =
            devices.Count > 0
                ? $"and split_part(stream, '/', 1) in ({string.Join(", ", devices.Select(Literal))})"
                : "";
        return new(
            $"""
            farm = {Literal(farmId)} and position <= {upTo} and stream in (
                select stream from journal.stream
                where farm = {Literal(farmId)} and split_part(stream, '/', 2) = {Literal(
                stream.ToString().ToLowerInvariant()
            )} {byDevice})
            """
        );
    }

    private static string Literal(string text) => $"'{text.Replace("'", "''", StringComparison.Ordinal)}'";
}
