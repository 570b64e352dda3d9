namespace NutrientLedger.Intake.Commit;

/// <summary>
/// A trouble of committing that lasts. The log gets a line when it begins, when its cause changes and when it has ended, and
/// not one for every try in between.
/// </summary>
internal sealed class CommitTrouble(TimeProvider clock, IntakeStatus status, IntakeLog log)
{
    private readonly HashSet<string> causes = [];
    private long begun;
    private int tries;
    private int sentBack;

    /// <summary>A try failed in a way that passes.</summary>
    public void Failed(string why)
    {
        // A server that ended because it could not write its log only says that it is away.
        status.CommitFailed(
            causes.Contains(DatabaseTrouble.NoRoom) && why != DatabaseTrouble.NoRoom
                ? $"{why}; before that, {DatabaseTrouble.NoRoom}"
                : why
        );
        tries++;
        // A server that restarts says a few things in turn; each is told once.
        if (!causes.Add(why))
            return;
        if (causes.Count > 1)
        {
            var seconds = Seconds();
            log.DatabaseSilentOtherwise(seconds, why);
            return;
        }
        begun = clock.GetTimestamp();
        log.DatabaseSilent(why);
    }

    /// <summary>Messages were given up, so that their devices send them again.</summary>
    public void SentBack(int messages, string why)
    {
        if (causes.Count == 0)
            log.GivenUp(messages, why);
        else
            sentBack += messages;
    }

    /// <summary>A commit went well.</summary>
    public void Over()
    {
        if (causes.Count == 0)
            return;
        var lasted = Seconds();
        log.DatabaseBack(lasted, tries, sentBack);
        causes.Clear();
        (tries, sentBack) = (0, 0);
    }

    private double Seconds() => Math.Round(clock.GetElapsedTime(begun).TotalSeconds, 1);
}
