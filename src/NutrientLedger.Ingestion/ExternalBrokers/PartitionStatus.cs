namespace NutrientLedger.Ingestion.ExternalBrokers;

internal enum PartitionState
{
    /// <summary>Another hub is active on the partition.</summary>
    Standby,

    /// <summary>This hub holds the partition but has no connection to the broker.</summary>
    NotConnected,

    /// <summary>This hub receives messages.</summary>
    Active,
}

/// <summary>The state of a partition in this hub, since when, and why.</summary>
internal sealed record PartitionStatus(PartitionState State, DateTimeOffset Since, string Reason)
{
    public string Sentence(string partition) =>
        State switch
        {
            PartitionState.Active => $"{partition}: active since {Since:u}, what waits in the broker is not known",
            PartitionState.Standby => $"{partition}: standby since {Since:u}, another hub is active",
            _ => $"{partition}: not connected since {Since:u}: {Reason}",
        };
}
