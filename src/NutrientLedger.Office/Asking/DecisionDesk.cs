using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Checks what a person decides about readings and records it, or says what is wrong with it.</summary>
internal sealed class DecisionDesk(RegisterStore registers, DeviceReader devices, FarmInquiry farms)
{
    private const int LongestText = 200;

    /// <summary>Records what <paramref name="make"/> makes of the farm's register; the register may move on meanwhile, then the person asks again.</summary>
    public async Task<Results<Ok<RecordedAnswer>, ProblemHttpResult>> RecordAsync(
        string farm,
        Func<RegisterAt, (IEntry Entry, string? Id)> make,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsRefused)
            return asked.Refusal;
        var (entry, id) = make(asked.Found);
        try
        {
            await registers.RecordAsync(farm, asked.Found.Place, [entry], cancellationToken);
        }
        catch (RegisterChangedException)
        {
            return Refusal.MovedOn();
        }
        return TypedResults.Ok(new RecordedAnswer(farm, asked.Found.Place + 1, id));
    }

    /// <summary>Whether it is said who decides and why, and the numbers can be readings of this farm; nothing when all is well.</summary>
    public async Task<ProblemHttpResult?> FaultAsync(
        string farm,
        IAskedAboutReadings asked,
        CancellationToken cancellationToken
    )
    {
        if (Unsigned(asked.Reason, asked.DecidedBy) is { } unsigned)
            return unsigned;
        if (Stream(asked.Stream) is not { } wanted)
            return Refusal.BadValue("stream", asked.Stream ?? "", "Name the stream: spread or store.");
        if (
            asked is not { Boot: not null, FirstSeq: { } first, LastSeq: { } last }
            || first < 1
            || last < first
            || last == long.MaxValue
        )
            return Refusal.BadValue(
                "range of numbers",
                $"{asked.FirstSeq} to {asked.LastSeq} of boot {asked.Boot}",
                "Give boot, firstSeq and lastSeq as whole numbers: firstSeq from 1 up, lastSeq not below it, both ends included."
            );
        var known = await devices.DevicesAsync(farm, cancellationToken);
        return known.Any(device => device.EquipmentId == asked.Equipment && device.Stream == wanted)
            ? null
            : Refusal.Unknown(
                $"sender of stream {asked.Stream}",
                asked.Equipment ?? "",
                farm,
                known.Where(device => device.Stream == wanted).Select(device => device.EquipmentId)
            );
    }

    /// <summary>Who and why are required: an inspector asks for both, years later.</summary>
    public static ProblemHttpResult? Unsigned(string? reason, string? decidedBy) =>
        IsText(reason)
            ? IsText(decidedBy)
                ? null
                : Refusal.BadValue("decidedBy", decidedBy ?? "", $"Say who decides, in 1 to {LongestText} characters.")
            : Refusal.BadValue("reason", reason ?? "", $"Say why, in 1 to {LongestText} characters.");

    public static TelemetryStream? Stream(string? name) =>
        name switch
        {
            "spread" => TelemetryStream.Spread,
            "store" => TelemetryStream.Store,
            _ => null,
        };

    private static bool IsText(string? text) => text?.Trim().Length is > 0 and <= LongestText;
}
