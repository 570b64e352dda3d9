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
    private const int BootsNamed = 3;

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

    /// <summary>Whether it is said who decides and why, and at least one reading of this farm has one of the numbers; nothing when all is well.</summary>
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
            asked is not { Boot: { } boot, FirstSeq: { } first, LastSeq: { } last }
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
            ? await UnstoredAsync(farm, asked.Equipment!, wanted, new(boot, first, last), cancellationToken)
            : Refusal.Unknown(
                $"sender of stream {asked.Stream}",
                asked.Equipment ?? "",
                farm,
                known.Where(device => device.Stream == wanted).Select(device => device.EquipmentId)
            );
    }

    /// <summary>A decision that no reading is meant by would change nothing for ever, and whoever took it would think it had.</summary>
    private async Task<ProblemHttpResult?> UnstoredAsync(
        string farm,
        string equipment,
        TelemetryStream stream,
        StoredBoot numbers,
        CancellationToken cancellationToken
    )
    {
        if (await devices.AnyStoredAsync(farm, equipment, stream, numbers, cancellationToken))
            return null;
        var (boot, first, last) = numbers;
        var near = await devices.BootsNearAsync(farm, equipment, stream, boot, BootsNamed, cancellationToken);
        var stored =
            near.Count == 0
                ? "none"
                : string.Join(", ", near.Select(it => $"boot {it.Boot} (no. {it.FirstSeq} to {it.LastSeq})"));
        return Refusal.BadValue(
            "range of numbers",
            $"{first} to {last} of boot {boot}",
            $"No such reading of {equipment} on stream {TradeWords.Of(stream)} is stored, so nothing would change. Stored are, nearest first: {stored}. Check boot, firstSeq and lastSeq; readings that are still to come can be decided about when they are here."
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
