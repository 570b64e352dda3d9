namespace NutrientLedger.Journal.Definitions;

/// <summary>What an event of a type can change in results already computed.</summary>
public enum EventChanges
{
    /// <summary>
    /// Posted lines or levels. They are rebuilt, and a statement says what changed. The default, because it is safe.
    /// </summary>
    Rebuild = 0,

    /// <summary>How posted lines are evaluated. Nothing is rebuilt; a statement says what changed.</summary>
    Evaluation = 1,

    /// <summary>No posted line. Queries use the event directly.</summary>
    Nothing = 2,

    /// <summary>New lines, levels or weather: the event is posted itself.</summary>
    Posting = 3,
}
