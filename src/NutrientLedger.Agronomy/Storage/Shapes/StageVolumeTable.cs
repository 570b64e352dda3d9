using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Storage.Shapes;

/// <summary>The surveyed content of a storage at one level: depth over the floor in mm, volume in litres.</summary>
public readonly record struct StageVolume(int LevelMillimetres, long VolumeLitres);

/// <summary>
/// A storage of any shape, given by a surveyed table of volumes by level, from the floor up to the rim. Between the
/// stages the volume follows a smooth curve that never falls.
/// </summary>
public sealed record StageVolumeTable : PitShape
{
    /// <summary>
    /// Needs at least two stages, the first at level 0. Levels and volumes both rise from stage to stage.
    /// </summary>
    /// <exception cref="ArgumentException">The table breaks that rule; the message names the stage.</exception>
    public StageVolumeTable(ImmutableArray<StageVolume> stages)
        : base(Checked(stages)[^1].LevelMillimetres) => Stages = stages;

    public ImmutableArray<StageVolume> Stages { get; }

    public bool Equals(StageVolumeTable? other) => other is not null && Stages.SequenceEqual(other.Stages);

    public override int GetHashCode() => HashCode.Combine(Stages.Length, Stages[^1]);

    protected override double VolumeAt(double depthMetres)
    {
        var (stage, share, height) = Locate(depthMetres);
        var (low, high) = (CubicMetres(stage), CubicMetres(stage + 1));
        var (square, cube) = (share * share, share * share * share);
        return low
            + (3 * square - 2 * cube) * (high - low)
            + height * ((cube - 2 * square + share) * Slope(stage) + (cube - square) * Slope(stage + 1));
    }

    protected override double SurfaceAt(double depthMetres)
    {
        var (stage, share, _) = Locate(depthMetres);
        var square = share * share;
        return 6 * (share - square) * Rise(stage)
            + (3 * square - 4 * share + 1) * Slope(stage)
            + (3 * square - 2 * share) * Slope(stage + 1);
    }

    // The stage at or below a depth, the share of the way from there to the next (0 to 1), and the height of that way
    // in m.
    private (int Stage, double Share, double Height) Locate(double depthMetres)
    {
        var stage = 0;
        while (stage < Stages.Length - 2 && Stages[stage + 1].LevelMillimetres <= depthMetres * 1000)
            stage++;
        var height = Height(stage);
        return (stage, (depthMetres - Stages[stage].LevelMillimetres / 1000.0) / height, height);
    }

    // The surface at a stage, chosen so that the cubic between two stages never falls. It is the weighted harmonic mean
    // of the mean surfaces on both sides (F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5, 1984; from
    // memory, compared in the tests).
    private double Slope(int stage)
    {
        if (stage == 0)
            return Edge(0, 1);
        if (stage == Stages.Length - 1)
            return Edge(stage - 1, stage - 2);
        var (below, above) = (Height(stage - 1), Height(stage));
        var (first, second) = (2 * above + below, above + 2 * below);
        return (first + second) / (first / Rise(stage - 1) + second / Rise(stage));
    }

    // The surface at floor and rim: the slope of the parabola through the three nearest stages. It is limited to
    // between none and three times the nearest mean surface.
    private double Edge(int nearest, int next)
    {
        if (Stages.Length == 2)
            return Rise(0);
        var (near, far) = (Height(nearest), Height(next));
        var slope = ((2 * near + far) * Rise(nearest) - near * Rise(next)) / (near + far);
        return Math.Clamp(slope, 0, 3 * Rise(nearest));
    }

    private double Rise(int stage) => (CubicMetres(stage + 1) - CubicMetres(stage)) / Height(stage);

    private double Height(int stage) => (Stages[stage + 1].LevelMillimetres - Stages[stage].LevelMillimetres) / 1000.0;

    private double CubicMetres(int stage) => Stages[stage].VolumeLitres / 1000.0;

    private static ImmutableArray<StageVolume> Checked(ImmutableArray<StageVolume> stages)
    {
        if (stages.IsDefault || stages.Length < 2)
            throw new ArgumentException("A stage-volume table needs at least two stages, floor and rim.");
        if (stages[0] is not { LevelMillimetres: 0, VolumeLitres: >= 0 })
            throw new ArgumentException("A stage-volume table starts at level 0 with a volume of 0 or more.");
        for (var stage = 1; stage < stages.Length; stage++)
        {
            var (below, here) = (stages[stage - 1], stages[stage]);
            if (here.LevelMillimetres <= below.LevelMillimetres || here.VolumeLitres <= below.VolumeLitres)
                throw new ArgumentException(
                    $"Stage {stage + 1} of the stage-volume table ({here.LevelMillimetres} mm, {here.VolumeLitres} L) must lie above stage {stage} ({below.LevelMillimetres} mm, {below.VolumeLitres} L) and hold more."
                );
        }
        return stages;
    }
}
