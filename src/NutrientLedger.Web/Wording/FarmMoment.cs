using System.Globalization;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Web.Wording;

/// <summary>Formats a time in farm time.</summary>
internal static class FarmMoment
{
    /// <summary>To the minute, with the UTC offset.</summary>
    public static string Of(FarmCalendar calendar, DateTimeOffset moment) =>
        calendar
            .ToFarmTime(moment.ToUnixTimeMilliseconds())
            .ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);
}
