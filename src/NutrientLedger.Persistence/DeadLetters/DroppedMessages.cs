namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// Rejected messages that were deleted to make room: how many, their bytes, and when the first was recorded.
/// </summary>
internal readonly record struct DroppedMessages(long Messages, long Bytes, DateTimeOffset? FirstAt);
