namespace NutrientLedger.Journal.Definitions;

/// <summary>How events of a type come into the journal.</summary>
public enum EventRoute
{
    /// <summary>A device sends readings. The name is the stream in the topic.</summary>
    Stream = 1,

    /// <summary>A farm file is imported. The name is the section of the file.</summary>
    FarmFile = 2,

    /// <summary>Records made by hand are imported or posted. The name is the record's kind.</summary>
    HandRecord = 3,

    /// <summary>A laboratory's reports are imported or posted. The name is the table or list of the file.</summary>
    LaboratoryReport = 4,

    /// <summary>A person decides over the API. The name is the path below the farm.</summary>
    Decision = 5,

    /// <summary>A rule of the farm decides. The name is the section of the farm file that holds the rule.</summary>
    Rule = 6,

    /// <summary>A person takes back entries of a farm file. The name is the option of the import.</summary>
    Withdrawal = 7,

    /// <summary>The hub records it by itself. The name is what it does.</summary>
    Hub = 8,
}

/// <summary>A route into the journal and the name that events of a type have on it.</summary>
public sealed record EventSource(EventRoute Route, string Name);
