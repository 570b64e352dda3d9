namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// A coverage tile in its stored form: the visits as bytes, and the covered and overlapped cells of each row.
/// </summary>
public sealed record StoredTile(byte[] Visits, byte[] Covered, byte[] Overlapped)
{
    /// <summary>Its approximate size in memory.</summary>
    public int Bytes => Visits.Length + Covered.Length + Overlapped.Length;

    public static StoredTile Of(CoverageTile tile) => new(tile.Encode(), tile.CoveredByRow(), tile.OverlappedByRow());
}
