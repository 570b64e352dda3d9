using System.Text.Json;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Web.Contracts.Fields;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Describes why readings are flagged.</summary>
internal static class FlagMapping
{
    public static FlaggedResponse Response(FlaggedAmount flagged) =>
        new(
            JsonNamingPolicy.CamelCase.ConvertName(flagged.Rule.ToString()),
            Of(flagged.Rule),
            flagged.Intervals,
            flagged.CubicMetres,
            flagged.ShareOfVolume,
            flagged.ShareOfTotalNitrogen,
            flagged.ShareOfAmmoniumNitrogen,
            flagged.ShareOfPhosphorus,
            flagged.ShareOfPotassium
        );

    private static string Of(FlagRule rule) =>
        rule switch
        {
            FlagRule.Any => "readings flagged by any rule",
            FlagRule.AmmoniumAboveTotal => "ammonium nitrogen above total nitrogen",
            FlagRule.ContentOutOfRange => "nutrient content outside the limits",
            FlagRule.ContentMissing => "no nutrient content from the sensor",
            FlagRule.EngagedWithoutFlow => "tool lowered, but too little flow",
            FlagRule.FlowOutOfRange => "flow above the limit",
            FlagRule.SpeedOutOfRange => "speed outside the limits",
            FlagRule.WidthOutOfRange => "working width outside the limits",
            FlagRule.FlowWhileDisengaged => "pumped with tool raised",
            _ => throw new ArgumentOutOfRangeException(nameof(rule), rule, "An unknown rule."),
        };
}
