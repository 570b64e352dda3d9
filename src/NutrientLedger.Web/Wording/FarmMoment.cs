using System.Globalization;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Wording;

/// <summary>Says a moment as the farm's clock shows it.</summary>
internal static class FarmMoment
{
    /// <summary>To the minute, with the offset from UTC.</summary>
    public static string Of(FarmCalendar calendar, DateTimeOffset moment) =>
        calendar
            .ToFarmTime(moment.ToUnixTimeMilliseconds())
            .ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);
}
