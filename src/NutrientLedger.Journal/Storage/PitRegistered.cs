using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// A manure storage was registered, with its inside shape and the depth it must not be filled beyond.
/// </summary>
public sealed record PitRegistered(string PitId, string Name, PitShape Shape, int FullDepthMillimetres)
    : IDefinedEvent<PitRegistered>
{
    public static EventDefinition<PitRegistered> Definition { get; } =
        new("pit_registered", new(EventRoute.FarmFile, "pits"))
        {
            Changes = EventChanges.Nothing,
            Subject = pit => pit.PitId,
            Key = pit => EntryKey.TextOf(pit.PitId),
        };
}
