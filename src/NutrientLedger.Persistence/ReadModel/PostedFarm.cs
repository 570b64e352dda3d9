using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// How far a farm's ledger is posted: batches up to a position, under the configuration of another. Below the wanted
/// one a correction is still to be posted. Each partition, and the levels of all pits, have the generation that is
/// read.
/// </summary>
/// <param name="FarmId">The farm.</param>
/// <param name="Generation">The newest generation of any partition. Each switch raises it.</param>
/// <param name="LevelGeneration">The generation of the pits' levels.</param>
/// <param name="Position">The position up to which batches are posted.</param>
/// <param name="ConfigurationPosition">The position of the configuration under which they are.</param>
/// <param name="WantedPosition">The position of the last event that changes what is posted.</param>
/// <param name="HasShadowRows">Whether rows of other generations can be there.</param>
internal sealed record PostedFarm(
    string FarmId,
    int Generation,
    int LevelGeneration,
    long Position,
    long ConfigurationPosition,
    long WantedPosition,
    bool HasShadowRows
)
{
    /// <summary>The generation of each partition that has one. Others begin with the farm's newest.</summary>
    public Dictionary<Partition, int> Partitions { get; } = [];

    /// <summary>How many batches cannot be posted.</summary>
    public int UnpostedBatches { get; init; }

    public bool IsBeingCorrected => ConfigurationPosition < WantedPosition;

    /// <summary>A farm of which nothing is posted.</summary>
    public static PostedFarm New(string farmId) => new(farmId, 1, 1, 0, 0, 0, HasShadowRows: false);

    public int GenerationOf(int season, string applicatorId) =>
        Partitions.GetValueOrDefault(new(season, applicatorId), Generation);
}
