namespace NutrientLedger.Ingestion.ExternalBrokers;

internal enum PartitionState
{
    /// <summary>Another hub is at work on it.</summary>
    Standby,

    /// <summary>This hub's turn, but there is no line to the broker.</summary>
    NotConnected,

    /// <summary>This hub takes in.</summary>
    Active,
}

/// <summary>How a partition stands with this hub, since when, and why.</summary>
internal sealed record PartitionStatus(PartitionState State, DateTimeOffset Since, string Reason)
{
    public string Sentence(string partition) =>
        State switch
        {
            PartitionState.Active => $"{partition}: active since {Since:u}",
            PartitionState.Standby => $"{partition}: standby since {Since:u}, another hub is active",
            _ => $"{partition}: not connected since {Since:u}: {Reason}",
        };
}
