using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>Checks intervals against the limits in force. The rules are those of this room's README, "Flags".</summary>
internal sealed class FlagRules
{
    private const int Quantities = (int)LimitedQuantity.Width + 1;

    /// <summary>The bit of a rule about the place alone. It is no part of Any.</summary>
    public const int InsideNoSpreadZone = 1 << (int)FlagRule.InsideNoSpreadZone;

    private readonly long[] min = new long[Quantities];
    private readonly long[] max = new long[Quantities];

    public FlagRules(ReadingLimitsSet? limits)
    {
        Array.Fill(min, long.MinValue);
        Array.Fill(max, long.MaxValue);
        // Without any limit an engaged tool must spread something. A lifted one must spread nothing.
        min[(int)LimitedQuantity.FlowWhileEngaged] = 1;
        max[(int)LimitedQuantity.FlowWhileDisengaged] = 0;
        foreach (var limit in limits?.Limits ?? [])
        {
            min[(int)limit.Quantity] = limit.Min ?? min[(int)limit.Quantity];
            max[(int)limit.Quantity] = limit.Max ?? max[(int)limit.Quantity];
        }
    }

    /// <summary>The rules that flag an engaged interval, as a set of bits by rule.</summary>
    public int Engaged(in SpreadReading first, bool contentVoid, bool sensorOnApplicator, long millilitres, long lasted)
    {
        var flags = 0;
        Flag(
            FlagRule.AmmoniumAboveTotal,
            first.AmmoniumNitrogenMilligramsPerLitre > first.TotalNitrogenMilligramsPerLitre
        );
        Flag(
            FlagRule.ContentOutOfRange,
            Outside(LimitedQuantity.DryMatter, first.DryMatterPartsPerMillion)
                || Outside(LimitedQuantity.TotalNitrogen, first.TotalNitrogenMilligramsPerLitre)
                || Outside(LimitedQuantity.AmmoniumNitrogen, first.AmmoniumNitrogenMilligramsPerLitre)
                || Outside(LimitedQuantity.Phosphorus, first.PhosphorusMilligramsPerLitre)
                || Outside(LimitedQuantity.Potassium, first.PotassiumMilligramsPerLitre)
        );
        Flag(FlagRule.ContentMissing, sensorOnApplicator && !contentVoid && SaysNothing(first));
        Flag(
            FlagRule.EngagedWithoutFlow,
            first.Engaged is true && IsBelow(min[(int)LimitedQuantity.FlowWhileEngaged], millilitres, lasted)
        );
        Flag(FlagRule.FlowOutOfRange, IsAbove(max[(int)LimitedQuantity.FlowWhileEngaged], millilitres, lasted));
        Flag(FlagRule.SpeedOutOfRange, Outside(LimitedQuantity.Speed, first.SpeedMillimetresPerSecond));
        Flag(FlagRule.WidthOutOfRange, Outside(LimitedQuantity.Width, first.WidthMillimetres));
        return flags;

        void Flag(FlagRule rule, bool holds) => flags |= holds ? (1 << (int)rule) | (1 << (int)FlagRule.Any) : 0;
    }

    /// <summary>Whether the meter counted more than a lifted tool may lose.</summary>
    public bool RunsWhileDisengaged(long millilitres, long lasted) =>
        IsAbove(max[(int)LimitedQuantity.FlowWhileDisengaged], millilitres, lasted);

    private bool Outside(LimitedQuantity quantity, int? value) =>
        value < min[(int)quantity] || value > max[(int)quantity];

    private static bool SaysNothing(in SpreadReading reading) =>
        reading
            is {
                DryMatterPartsPerMillion: null,
                TotalNitrogenMilligramsPerLitre: null,
                AmmoniumNitrogenMilligramsPerLitre: null,
                PhosphorusMilligramsPerLitre: null,
                PotassiumMilligramsPerLitre: null
            };

    // Flows are compared without division: mL × 1000 against mL/s × ms.
    private static bool IsBelow(long perSecond, long millilitres, long lasted) =>
        (Int128)millilitres * 1000 < (Int128)perSecond * lasted;

    private static bool IsAbove(long perSecond, long millilitres, long lasted) =>
        (Int128)millilitres * 1000 > (Int128)perSecond * lasted;
}
