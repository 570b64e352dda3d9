using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Office.Asking;

/// <summary>The words under which choices stand in farm files, in the journal and in answers.</summary>
internal static class TradeWords
{
    public static string Of(SpreadingMethod method) => JsonNamingPolicy.CamelCase.ConvertName(method.ToString());

    public static string Of(TelemetryStream stream) => JsonNamingPolicy.CamelCase.ConvertName(stream.ToString());
}
