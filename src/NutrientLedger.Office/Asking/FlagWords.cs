using System.Text.Json;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;

namespace NutrientLedger.Office.Asking;

/// <summary>Says in plain words why readings are flagged.</summary>
internal static class FlagWords
{
    public static FlaggedAnswer Answer(FlaggedAmount flagged) =>
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
            FlagRule.Any => "rests on readings that a rule doubts",
            FlagRule.AmmoniumAboveTotal => "ammonium nitrogen above total nitrogen",
            FlagRule.ContentOutOfRange => "a content outside the limits set",
            FlagRule.ContentMissing => "the sensor told no content",
            FlagRule.EngagedWithoutFlow => "tool engaged, but too little flow",
            FlagRule.FlowOutOfRange => "more flow than the limit set",
            FlagRule.SpeedOutOfRange => "speed outside the limits set",
            FlagRule.WidthOutOfRange => "working width outside the limits set",
            FlagRule.FlowWhileDisengaged => "meter running while the tool was not engaged",
            _ => throw new ArgumentOutOfRangeException(nameof(rule), rule, "An unknown rule."),
        };
}
