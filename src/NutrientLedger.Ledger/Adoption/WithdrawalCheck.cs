using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>What prevents the withdrawal of a calibration.</summary>
public enum WithdrawalProblem
{
    /// <summary>No calibration of this id is in force.</summary>
    NotInForce = 1,

    /// <summary>The name or the reason is missing.</summary>
    SignatureMissing = 2,
}

/// <summary>Whether a calibration may be withdrawn: the event that withdraws it, or the first problem.</summary>
public sealed record WithdrawalCheck(CalibrationWithdrawn? Withdrawal, WithdrawalProblem? Problem)
{
    /// <summary>Checks a withdrawal of the calibration of an id.</summary>
    public static WithdrawalCheck Of(string calibrationId, string? by, string? reason, FarmConfiguration configuration)
    {
        if (configuration.Calibrations.Adopted.All(adopted => adopted.CalibrationId != calibrationId))
            return new(null, WithdrawalProblem.NotInForce);
        return string.IsNullOrWhiteSpace(by) || string.IsNullOrWhiteSpace(reason)
            ? new(null, WithdrawalProblem.SignatureMissing)
            : new(new(calibrationId, by, reason), null);
    }
}
