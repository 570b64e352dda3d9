using System.Globalization;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Wording;

/// <summary>
/// How a cause says its moments and contents. A content comes in thousandths of the sensor's raw unit: of mg/L, of ppm for dry matter.
/// </summary>
public sealed record StatementWords(Func<DateTimeOffset, string> At, Func<Analyte, long, string> Content)
{
    /// <summary>As statements are kept for ever, whoever reads them: in the raw unit and in UTC.</summary>
    public static StatementWords Kept { get; } =
        new(
            moment => moment.UtcDateTime.ToString("yyyy-MM-dd HH:mm 'UTC'", CultureInfo.InvariantCulture),
            (analyte, thousandths) =>
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{thousandths / 1e3m} {(analyte == Analyte.DryMatter ? "ppm" : "mg/L")}"
                )
        );
}
