namespace NutrientLedger.Agronomy.Storage;

/// <summary>The inside shape of a manure storage; volumes follow from liquid depth over the floor.</summary>
public abstract record PitShape(int DepthMillimetres);

/// <summary>An earthen or concrete basin: a rectangular floor with four equal side slopes, run per rise in thousandths (3:1 is 3000).</summary>
public sealed record RectangularBasin(
    int FloorLengthMillimetres,
    int FloorWidthMillimetres,
    int SlopeRunPerRiseThousandths,
    int DepthMillimetres
) : PitShape(DepthMillimetres);

/// <summary>An upright round tank.</summary>
public sealed record RoundTank(int DiameterMillimetres, int DepthMillimetres) : PitShape(DepthMillimetres);
