using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>From a moment on an applicator is fed from this pit.</summary>
public sealed record SourceChanged(string ApplicatorId, string PitId, DateTimeOffset ValidFrom)
    : IDefinedEvent<SourceChanged>
{
    public static EventDefinition<SourceChanged> Definition { get; } =
        new("source_changed", new(EventRoute.FarmFile, "sources"))
        {
            Scope = source => [new RebuildScope.WorkOf(source.ApplicatorId, source.ValidFrom)],
            Subject = source => source.ApplicatorId,
            Key = source => EntryKey.TextOf(source.ApplicatorId, source.ValidFrom),
        };
}
