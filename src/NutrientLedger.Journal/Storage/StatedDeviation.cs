namespace NutrientLedger.Journal.Storage;

/// <summary>The source of the size of a measurement's error.</summary>
public enum DeviationSource
{
    /// <summary>The maker's data sheet.</summary>
    DataSheet = 1,

    /// <summary>Common practice in the trade.</summary>
    CommonPractice = 2,

    /// <summary>Estimated from repeated measurements.</summary>
    EstimatedFromData = 3,

    /// <summary>The judgement of the person who measured.</summary>
    Judged = 4,
}

/// <summary>One standard deviation of a measured value, in the unit of that value, and its source.</summary>
public sealed record StatedDeviation(long Size, DeviationSource Source);
