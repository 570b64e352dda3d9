using NutrientLedger.Agronomy.Storage.Shapes;

namespace NutrientLedger.Journal.Storage;

/// <summary>A manure storage was entered with its inside shape and the depth it must not be filled beyond.</summary>
public sealed record PitRegistered(string PitId, string Name, PitShape Shape, int FullDepthMillimetres) : IJournalEvent;
