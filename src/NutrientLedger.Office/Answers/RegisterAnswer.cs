using System.Text.Json;

namespace NutrientLedger.Office.Answers;

/// <summary>A farm's register: every entry in the order in which it was recorded.</summary>
public sealed record RegisterAnswer(string Farm, long? AsOf, IReadOnlyList<RegisterEntryAnswer> Entries);

/// <summary>One entry under its stored name, as the journal holds it.</summary>
public sealed record RegisterEntryAnswer(long Position, DateTimeOffset RecordedAt, string Name, JsonElement Entry);
