namespace NutrientLedger.Ledger.Adoption;

/// <summary>Who would adopt a calibration.</summary>
public enum Adopter
{
    /// <summary>Nobody yet: it is only tried, so no name is needed.</summary>
    Nobody = 1,

    /// <summary>A person, who gives a name and a reason.</summary>
    Person = 2,

    /// <summary>A rule of the farm, under its own id. Name and reason come from the rule itself.</summary>
    Rule = 3,
}

/// <summary>What prevents the adoption of a calibration.</summary>
public enum AdoptionProblemCode
{
    /// <summary>It has no id.</summary>
    IdMissing = 1,

    /// <summary>Its id could not be written in an address, or is too long.</summary>
    IdInvalid = 18,

    /// <summary>It names nobody who adopts it.</summary>
    AdopterMissing = 2,

    /// <summary>No reason is given.</summary>
    ReasonMissing = 3,

    /// <summary>The farm has, and had, no such sensor.</summary>
    SensorUnknown = 4,

    /// <summary>The farm has no such pit.</summary>
    PitUnknown = 5,

    /// <summary>It names no analyte, or one that sensors do not report.</summary>
    AnalyteUnknown = 6,

    /// <summary>The intercept is in the unit of other analytes.</summary>
    InterceptInOtherUnit = 7,

    /// <summary>
    /// The slope is not above 0, is above <see cref="AdoptionCheck.SlopeMax"/>, or has too many decimals.
    /// </summary>
    SlopeOutOfRange = 8,

    /// <summary>The intercept is beyond <see cref="AdoptionCheck.InterceptMax"/> or has too many decimals.</summary>
    InterceptOutOfRange = 9,

    /// <summary>It has no beginning.</summary>
    ValidFromMissing = 10,

    /// <summary>It begins within an hour of farm time.</summary>
    ValidFromWithinHour = 11,

    /// <summary>It ends within an hour of farm time.</summary>
    ValidToWithinHour = 12,

    /// <summary>It ends at its beginning or before.</summary>
    ValidToNotAfterFrom = 13,

    /// <summary>It rests on a laboratory report that the farm does not have.</summary>
    ReportUnknown = 14,

    /// <summary>It rests on a laboratory report that a later one superseded.</summary>
    ReportSuperseded = 15,

    /// <summary>Its id begins like those of the farm's rules. Reported only when nothing else is wrong.</summary>
    IdReserved = 16,

    /// <summary>A calibration had its id before, in force or not. Reported only when nothing else is wrong.</summary>
    IdTaken = 17,
}

/// <summary>One problem. It names the report at fault, if one is, with the report that superseded it.</summary>
public sealed record AdoptionProblem(AdoptionProblemCode Code, string? ReportId = null, string? SupersededBy = null);
