namespace NutrientLedger.Ledger.Meters;

/// <summary>
/// What meters counted between readings that were received: metered, not placed and not posted. In mL.
/// </summary>
/// <param name="Millilitres">What ran in the interruptions that begin here.</param>
/// <param name="EitherMillilitres">
/// What ran in interruptions that lie here and in another season, or may be of this pit and another. It counts where it
/// began.
/// </param>
/// <param name="Unknown">How many interruptions have an unknown volume. With any, the volume is a minimum.</param>
public sealed record MeteredBetween(long Millilitres, long EitherMillilitres, int Unknown)
{
    public static readonly MeteredBetween None = new(0, 0, 0);

    private const double MillilitresPerCubicMetre = 1e6;

    public double CubicMetres => Millilitres / MillilitresPerCubicMetre;

    public double EitherCubicMetres => EitherMillilitres / MillilitresPerCubicMetre;

    /// <summary>Of all applicators in a season.</summary>
    public static MeteredBetween InSeason(IEnumerable<MeterInterruption> interruptions, int season) =>
        Sum(
            interruptions.Where(between => between.Season <= season && season <= between.LastSeason),
            between => between.Season == season,
            between => between.Season != between.LastSeason
        );

    /// <summary>From a pit in a season.</summary>
    public static MeteredBetween FromPit(IEnumerable<MeterInterruption> interruptions, string pitId, int season) =>
        Sum(
            interruptions.Where(between =>
                between.Season <= season && season <= between.LastSeason && between.Pits.Contains(pitId)
            ),
            between => between.Season == season && between.Pits[0] == pitId,
            between => between.Season != between.LastSeason || !between.HasOnePit
        );

    /// <summary>From a pit between two moments, both included. An open end has no limit.</summary>
    public static MeteredBetween FromPit(
        IEnumerable<MeterInterruption> interruptions,
        string pitId,
        DateTimeOffset? from,
        DateTimeOffset? to
    )
    {
        var first = from?.ToUnixTimeMilliseconds() ?? long.MinValue;
        var last = to?.ToUnixTimeMilliseconds() ?? long.MaxValue;
        return Sum(
            interruptions.Where(between =>
                between.FromMilliseconds <= last && between.UntilMilliseconds >= first && between.Pits.Contains(pitId)
            ),
            between => between.FromMilliseconds >= first && between.Pits[0] == pitId,
            between => between.FromMilliseconds < first || between.UntilMilliseconds > last || !between.HasOnePit
        );
    }

    private static MeteredBetween Sum(
        IEnumerable<MeterInterruption> touching,
        Func<MeterInterruption, bool> beginsHere,
        Func<MeterInterruption, bool> isElsewhereToo
    ) =>
        touching.Aggregate(
            None,
            (sum, between) =>
                between.Millilitres is { } ran
                    ? sum with
                    {
                        Millilitres = checked(sum.Millilitres + (beginsHere(between) ? ran : 0)),
                        EitherMillilitres = checked(sum.EitherMillilitres + (isElsewhereToo(between) ? ran : 0)),
                    }
                    : sum with
                    {
                        Unknown = sum.Unknown + 1,
                    }
        );
}
