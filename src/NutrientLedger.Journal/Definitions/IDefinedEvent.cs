namespace NutrientLedger.Journal.Definitions;

/// <summary>An event that says all about its own type.</summary>
public interface IDefinedEvent<TSelf> : IJournalEvent
    where TSelf : class, IDefinedEvent<TSelf>
{
    /// <summary>What there is to know about this type of event.</summary>
    static abstract EventDefinition<TSelf> Definition { get; }
}
