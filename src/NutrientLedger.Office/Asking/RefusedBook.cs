using System.Text;
using System.Text.Unicode;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out refused messages and what became of them.</summary>
internal static class RefusedBook
{
    public static RefusedAnswer Message(RefusedListing listed) =>
        new(
            listed.Id,
            listed.RecordedAt,
            listed.LastAt,
            listed.Times,
            listed.Topic,
            listed.FarmId,
            listed.EquipmentId,
            listed.Stream,
            listed.ContentType,
            listed.Bytes,
            listed.Reason,
            Word(listed.State),
            listed.OfferedAt,
            listed.ClosedAt,
            listed.ClosedBy,
            listed.ClosedBecause
        );

    public static RefusedWholeAnswer Whole(RefusedWhole message) =>
        new(
            Message(message.Listing),
            Convert.ToBase64String(message.Payload),
            Utf8.IsValid(message.Payload) ? Encoding.UTF8.GetString(message.Payload) : null
        );

    public static NotKeptAnswer NotKept(RefusedNotKept counted) =>
        new(
            counted.FarmId,
            counted.Sender,
            counted.Messages,
            counted.Bytes,
            counted.FirstAt,
            counted.LastAt,
            counted.Why
        );

    public static OfferedAnswer Offered(long id, AppendFate fate) =>
        fate switch
        {
            AppendFate.Stored stored => new(
                id,
                true,
                stored.Readings,
                stored.Duplicates,
                stored.Doubtful,
                Reason: null
            ),
            AppendFate.Refused { Reason: var reason } => new(id, false, 0, 0, 0, reason),
            _ => throw new ArgumentOutOfRangeException(nameof(fate)),
        };

    /// <summary>A state's word in question and answer.</summary>
    public static string Word(RefusedState state) => state.ToString().ToLowerInvariant();
}
