namespace NutrientLedger.Journal.Definitions;

/// <summary>An event whose type carries its own definition.</summary>
public interface IDefinedEvent<TSelf> : IJournalEvent
    where TSelf : class, IDefinedEvent<TSelf>
{
    /// <summary>The definition of this type of event.</summary>
    static abstract EventDefinition<TSelf> Definition { get; }
}
