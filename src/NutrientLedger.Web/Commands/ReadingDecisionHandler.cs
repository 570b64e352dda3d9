using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;
using NutrientLedger.Web.Queries;

namespace NutrientLedger.Web.Commands;

/// <summary>Checks what a person decides about readings and records it, or says what is wrong with it.</summary>
internal sealed class ReadingDecisionHandler(ConfigurationStore configurations, DeviceReader devices, FarmQuery farms)
{
    private const int TextLengthMax = 200;
    private const int BootsNamed = 3;

    /// <summary>Records what <paramref name="make"/> makes of the farm's register; the register may move on meanwhile, then the person asks again.</summary>
    public async Task<Results<Ok<RecordedResponse>, ProblemHttpResult>> RecordAsync(
        string farm,
        Func<ConfigurationSnapshot, (IJournalEvent Entry, string? Id)> make,
        CancellationToken cancellationToken
    )
    {
        var asked = await farms.FarmAsync(farm, asOf: null, cancellationToken);
        if (asked.IsProblem)
            return asked.Problem;
        var (@event, id) = make(asked.Value);
        try
        {
            await configurations.RecordAsync(farm, asked.Value.Version, [@event], cancellationToken);
        }
        catch (ConfigurationConflictException)
        {
            return ApiProblem.Changed();
        }
        return TypedResults.Ok(new RecordedResponse(farm, asked.Value.Version + 1, id));
    }

    /// <summary>Whether it is said who decides and why, and at least one reading of this farm has one of the numbers; nothing when all is well.</summary>
    public async Task<ProblemHttpResult?> ProblemAsync(
        string farm,
        IReadingRangeRequest asked,
        CancellationToken cancellationToken
    )
    {
        if (UnsignedProblem(asked.Reason, asked.By) is { } unsigned)
            return unsigned;
        if (Stream(asked.Stream) is not { } wanted)
            return ApiProblem.BadValue("stream", asked.Stream ?? "", "Write spread or store.");
        if (
            asked is not { Boot: { } boot, FirstSeq: { } first, LastSeq: { } last }
            || first < 1
            || last < first
            || last == long.MaxValue
        )
            return ApiProblem.BadValue(
                "range of numbers",
                $"{asked.FirstSeq} to {asked.LastSeq} of boot {asked.Boot}",
                "Write boot, firstSeq and lastSeq as whole numbers. firstSeq is 1 or more; lastSeq is included and not below firstSeq."
            );
        var known = await devices.DevicesAsync(farm, cancellationToken);
        return known.Any(device => device.EquipmentId == asked.Equipment && device.Stream == wanted)
            ? await NotStoredAsync(farm, asked.Equipment!, wanted, new(boot, first, last), cancellationToken)
            : ApiProblem.Unknown(
                $"device on stream {asked.Stream}",
                asked.Equipment ?? "",
                farm,
                known.Where(device => device.Stream == wanted).Select(device => device.EquipmentId)
            );
    }

    /// <summary>A decision that no reading is meant by would change nothing for ever, and whoever took it would think it had.</summary>
    private async Task<ProblemHttpResult?> NotStoredAsync(
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
        var near = await devices.NearestBootsAsync(farm, equipment, stream, boot, BootsNamed, cancellationToken);
        var stored =
            near.Count == 0
                ? "none"
                : string.Join(", ", near.Select(it => $"boot {it.Boot} (no. {it.FirstSeq} to {it.LastSeq})"));
        return ApiProblem.BadValue(
            "range of numbers",
            $"{first} to {last} of boot {boot}",
            $"{equipment} has no stored readings with these numbers on stream {ApiWords.Of(stream)}. Nearest stored: {stored}. Check boot, firstSeq and lastSeq. Decide on later readings when they have arrived."
        );
    }

    /// <summary>Who and why are required: an inspector asks for both, years later.</summary>
    public static ProblemHttpResult? UnsignedProblem(string? reason, string? decidedBy) =>
        IsText(reason)
            ? IsText(decidedBy)
                ? null
                : ApiProblem.BadValue("by", decidedBy ?? "", $"Write who decides, 1 to {TextLengthMax} characters.")
            : ApiProblem.BadValue("reason", reason ?? "", $"Write the reason, 1 to {TextLengthMax} characters.");

    public static TelemetryStream? Stream(string? name) =>
        name switch
        {
            "spread" => TelemetryStream.Spread,
            "store" => TelemetryStream.Store,
            _ => null,
        };

    private static bool IsText(string? text) => text?.Trim().Length is > 0 and <= TextLengthMax;
}
