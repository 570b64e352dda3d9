using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Web.Queries;

/// <summary>The words for enum values in farm files, journal and responses.</summary>
internal static class ApiWords
{
    public static string Of(SpreadingMethod method) => JsonNamingPolicy.CamelCase.ConvertName(method.ToString());

    public static string Of(TelemetryStream stream) => JsonNamingPolicy.CamelCase.ConvertName(stream.ToString());
}
