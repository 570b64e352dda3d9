using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how the senders of readings fare.</summary>
internal static class DeviceBook
{
    public static DeviceAnswer Device(DeviceState device) =>
        new(
            device.EquipmentId,
            TradeWords.Of(device.Stream),
            device.LastRecordedAt,
            device.LastMeasuredAt,
            device.ReadingsStored,
            device.ReadingsDuplicate,
            device.ReadingsDoubtful,
            device.Gaps.Sum(gap => gap.LastSeq - gap.FirstSeq + 1),
            [.. device.Gaps.Select(gap => new GapAnswer(gap.Boot, gap.FirstSeq, gap.LastSeq))],
            device.ClockAhead?.TotalSeconds
        );
}
