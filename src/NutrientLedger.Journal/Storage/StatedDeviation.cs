namespace NutrientLedger.Journal.Storage;

/// <summary>Where the size of a measurement's error is known from.</summary>
public enum DeviationSource
{
    /// <summary>The maker's data sheet.</summary>
    DataSheet = 1,

    /// <summary>What people of the trade reckon with.</summary>
    CommonPractice = 2,

    /// <summary>Worked out from repeated measurements.</summary>
    EstimatedFromData = 3,

    /// <summary>Judged by whoever measured.</summary>
    Judged = 4,
}

/// <summary>One standard deviation of a measured value, in the unit of the value it stands with, and where it is known from.</summary>
public sealed record StatedDeviation(long Size, DeviationSource Source);
