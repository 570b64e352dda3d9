namespace NutrientLedger.Journal.Definitions;

/// <summary>What an event of a type can change of what is computed already.</summary>
public enum EventChanges
{
    /// <summary>Posted lines or levels: they are rebuilt, and a statement says what changed. The default, because it is safe.</summary>
    Rebuild = 0,

    /// <summary>How posted lines are evaluated: nothing is rebuilt, and a statement says what changed.</summary>
    Evaluation = 1,

    /// <summary>No posted line. Queries use the event when they are asked.</summary>
    Nothing = 2,

    /// <summary>New lines, levels or weather: the event is posted itself.</summary>
    Posting = 3,
}
