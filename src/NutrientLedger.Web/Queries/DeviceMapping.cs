using NutrientLedger.Journal;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;

namespace NutrientLedger.Web.Queries;

/// <summary>Maps devices and their gaps to responses.</summary>
internal static class DeviceMapping
{
    /// <summary>Max number of listed gaps. All are counted; a device that skips numbers may have thousands.</summary>
    private const int GapsNamed = 100;

    private const double MillilitresPerCubicMetre = 1e6;

    public static DeviceResponse Device(string farm, DeviceState device, IEnumerable<MeterInterruption> interruptions)
    {
        var metered = interruptions
            .Where(between => between.IsGap && between.ApplicatorId == device.EquipmentId)
            .ToDictionary(between => (between.Before.Boot, between.Before.Seq), between => between.Millilitres);
        var volumes = device
            .OpenGaps.Select(gap =>
                device.Stream == TelemetryStream.Spread
                    ? metered.GetValueOrDefault((gap.Numbers.Boot, gap.Numbers.FirstSeq - 1))
                    : null
            )
            .ToList();
        return new(
            device.EquipmentId,
            ApiWords.Of(device.Stream),
            device.LastRecordedAt,
            device.LastMeasuredAt,
            device.ReadingsStored,
            device.ReadingsDuplicate,
            device.ReadingsQuestionable,
            device.LeftOut.UnknownRecords,
            device.LeftOut.Values,
            device.Gaps.Sum(gap => gap.Count),
            device.OpenGaps.Count,
            volumes.Exists(volume => volume is not null) ? CubicMetres(volumes.Sum()) : null,
            [.. device.OpenGaps.Zip(volumes, Gap).Take(GapsNamed)],
            device.ClockAhead?.TotalSeconds,
            device.DifferingMessages,
            device.LaterMessages,
            WhatToDo(farm, device)
        );
    }

    private static string? WhatToDo(string farm, DeviceState device) =>
        device.DifferingMessages > 0
            ? $"It sends other readings under known numbers. If it is a new device, say so: POST /api/farms/{farm}/devices/{device.EquipmentId}/replaced. Else raise boot on the device, close these messages (GET /api/rejected?farm={farm} lists them), and retry the others."
        : device.LaterMessages > 0 ? $"Retry them: POST /api/rejected/retry?farm={farm}."
        : null;

    private static GapResponse Gap(OpenGap gap, long? millilitres) =>
        new(
            gap.Numbers.Boot,
            gap.Numbers.FirstSeq,
            gap.Numbers.LastSeq,
            gap.Numbers.Count,
            gap.Since,
            gap.Before?.MeasuredAt,
            gap.After?.MeasuredAt,
            CubicMetres(millilitres)
        );

    private static double? CubicMetres(long? millilitres) => millilitres / MillilitresPerCubicMetre;
}
