using System.Text;
using System.Text.Unicode;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Web.Contracts.Rejected;

namespace NutrientLedger.Web.Queries;

/// <summary>Maps rejected messages and retries to responses.</summary>
internal static class RejectedMapping
{
    public static RejectedMessageResponse Message(DeadLetterSummary listed) =>
        new(
            listed.Id,
            listed.RecordedAt,
            listed.LastAt,
            listed.Occurrences,
            listed.Topic,
            listed.FarmId,
            listed.EquipmentId,
            listed.Stream,
            listed.ContentType,
            listed.Bytes,
            listed.Reason,
            Word(listed.State),
            listed.RetriedAt,
            listed.ClosedAt,
            listed.ClosedBy,
            listed.CloseReason,
            listed.BytesKept,
            listed.WholeSha256
        );

    public static RejectedPayloadResponse WithPayload(DeadLetter message) =>
        new(
            Message(message.Summary),
            Convert.ToBase64String(message.Payload),
            Utf8.IsValid(message.Payload) ? Encoding.UTF8.GetString(message.Payload) : null
        );

    public static NotKeptResponse NotKept(DeadLetterOverflow counted) =>
        new(
            counted.FarmId,
            counted.Device,
            counted.Messages,
            counted.Bytes,
            counted.FirstAt,
            counted.LastAt,
            counted.Reason
        );

    public static RetryResponse Retried(long id, AppendResult result) =>
        result switch
        {
            AppendResult.Stored stored => new(
                id,
                true,
                stored.Readings,
                stored.Duplicates,
                stored.Questionable,
                Reason: null
            ),
            AppendResult.Rejected { Reason: var reason } => new(id, false, 0, 0, 0, reason),
            AppendResult.NotCommitted { Reason: var reason } => new(id, false, 0, 0, 0, reason),
            AppendResult.OverQuota { Reason: var reason } => new(id, false, 0, 0, 0, reason),
            _ => throw new ArgumentOutOfRangeException(nameof(result)),
        };

    /// <summary>The word for a state in requests and responses.</summary>
    public static string Word(DeadLetterState state) => state.ToString().ToLowerInvariant();
}
