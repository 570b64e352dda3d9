using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>What prevents the withdrawal of a calibration.</summary>
public enum WithdrawalProblem
{
    /// <summary>No calibration of this id is in force.</summary>
    NotInForce = 1,

    /// <summary>The name of who withdraws is missing.</summary>
    NameMissing = 2,

    /// <summary>The reason is missing.</summary>
    ReasonMissing = 3,
}

/// <summary>Whether a calibration may be withdrawn: the event that withdraws it, or the first problem.</summary>
public sealed record WithdrawalCheck(CalibrationWithdrawn? Withdrawal, WithdrawalProblem? Problem)
{
    /// <summary>Checks a withdrawal of the calibration of an id.</summary>
    public static WithdrawalCheck Of(string calibrationId, string? by, string? reason, FarmConfiguration configuration)
    {
        if (configuration.Calibrations.Adopted.All(adopted => adopted.CalibrationId != calibrationId))
            return new(null, WithdrawalProblem.NotInForce);
        if (string.IsNullOrWhiteSpace(by))
            return new(null, WithdrawalProblem.NameMissing);
        return string.IsNullOrWhiteSpace(reason)
            ? new(null, WithdrawalProblem.ReasonMissing)
            : new(new(calibrationId, by, reason), null);
    }
}
