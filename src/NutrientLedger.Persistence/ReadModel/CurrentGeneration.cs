namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The generation of a farm's rows that is read: the posting of all batches up to a position under the configuration at
/// another. While the wanted position is above that of the configuration, a correction is still to be posted.
/// </summary>
internal sealed record CurrentGeneration(
    string FarmId,
    int Generation,
    long Position,
    long ConfigurationPosition,
    long WantedPosition
)
{
    public bool IsBeingCorrected => ConfigurationPosition < WantedPosition;
}
