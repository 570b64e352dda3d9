using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Commands;

/// <summary>
/// Records that a new device sends under an old one's name, and stores its messages that waited for that.
/// </summary>
internal sealed class DeviceReplacementHandler(
    ConfigurationStore configurations,
    DeviceReader devices,
    DeadLetterQueue rejected,
    RetryHandler retry
)
{
    private static readonly string SignatureRule = $"at most {DecisionCandidate.TextLengthMax} characters.";

    public async Task<Results<Ok<DeviceReplacedResponse>, ProblemHttpResult>> ReplaceAsync(
        ConfigurationSnapshot at,
        string equipment,
        DeviceReplacedRequest request,
        CancellationToken cancellationToken
    )
    {
        if (!IsText(request.By))
            return ApiProblem.BadValue("by", request.By ?? "", $"Write who says so, {SignatureRule}");
        if (!IsText(request.Reason))
            return ApiProblem.BadValue("reason", request.Reason ?? "", $"Write the reason, {SignatureRule}");
        var known = await devices.DevicesAsync(at.FarmId, cancellationToken);
        if (
            !known.Any(device => device.EquipmentId == equipment)
            || await devices.HighestBootAsync(at.FarmId, equipment, cancellationToken) is not { } highest
        )
            return ApiProblem.Unknown(
                "device",
                equipment,
                at.FarmId,
                known.Select(device => device.EquipmentId).Distinct()
            );
        // Without need, a backlog of the same device would be counted twice.
        if (!await rejected.IsUndecidedAsync(at.FarmId, equipment, cancellationToken))
            return ApiProblem.Conflict(
                $"No message of \"{equipment}\" has other readings under known numbers.",
                "A new device that counts on, or begins with a higher boot, needs no decision. Nothing was stored."
            );
        var replaced = new DeviceReplaced(equipment, highest + 1, request.By!.Trim(), request.Reason!.Trim());
        try
        {
            await configurations.RecordAsync(at.FarmId, at.Version, [replaced], cancellationToken);
        }
        catch (ConfigurationConflictException)
        {
            return ApiProblem.Changed();
        }
        await rejected.DecidedAsync(at.FarmId, equipment, cancellationToken);
        var retried = await retry.AllAsync(at.FarmId, equipment, cancellationToken);
        return TypedResults.Ok(new DeviceReplacedResponse(at.FarmId, equipment, replaced.FirstBoot, retried));
    }

    private static bool IsText(string? text) => text?.Trim().Length is > 0 and <= DecisionCandidate.TextLengthMax;
}
