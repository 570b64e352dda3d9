using System.Globalization;
using System.Text.Json;
using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Office.Import.Written;

/// <summary>
/// Reads numbers out of a farm file. A number is taken as the decimal it is written as, so 1.0005 m is exactly 1000.5 mm and
/// becomes 1001: half away from zero.
/// </summary>
internal static class WrittenNumbers
{
    /// <summary>Metres, as whole millimetres.</summary>
    public static int Millimetres(this WrittenObject from, string property, decimal least, decimal most) =>
        (int)Scaled(from, property, 1000, least, most, "metres");

    /// <summary>A plain ratio, as whole thousandths.</summary>
    public static int Thousandths(this WrittenObject from, string property, decimal least, decimal most) =>
        (int)Scaled(from, property, 1000, least, most, "");

    /// <summary>A plain number, as whole millionths.</summary>
    public static long Millionths(this WrittenObject from, string property, decimal least, decimal most) =>
        Scaled(from, property, 1_000_000, least, most, "");

    /// <summary>Cubic metres, as whole litres.</summary>
    public static long Litres(this WrittenObject from, string property, decimal least, decimal most) =>
        Scaled(from, property, 1000, least, most, "cubic metres");

    /// <summary>Cubic metres, as whole millilitres; may be left out.</summary>
    public static long? OptionalMillilitres(this WrittenObject from, string property, decimal least, decimal most) =>
        from.Optional(property) is null ? null : Scaled(from, property, 1_000_000, least, most, "cubic metres");

    /// <summary>Kilograms per hectare, as whole grams per hectare; may be left out.</summary>
    public static long? OptionalGramsPerHectare(
        this WrittenObject from,
        string property,
        decimal least,
        decimal most
    ) => from.Optional(property) is null ? null : Scaled(from, property, 1000, least, most, "kilograms per hectare");

    /// <summary>A number in a unit, as whole parts of which so many make one; may be left out.</summary>
    public static long? OptionalScaled(
        this WrittenObject from,
        string property,
        int scale,
        decimal least,
        decimal most,
        string unit
    ) => from.Optional(property) is null ? null : Scaled(from, property, scale, least, most, unit);

    /// <summary>Whole parts, of which so many make one; half away from zero.</summary>
    public static long? Whole(decimal? number, int scale) =>
        number is { } known ? (long)Math.Round(known * scale, MidpointRounding.AwayFromZero) : null;

    /// <summary>A whole number.</summary>
    public static int Whole(this WrittenObject from, string property, int least, int most)
    {
        if (from.Required(property) is not { } value)
            return least;
        if (Number(value) is { } number && decimal.IsInteger(number) && number >= least && number <= most)
            return (int)number;
        from.Problem(
            property,
            $"\"{property}\" must be a whole number from {least} to {most}, not {value.KindInWords}."
        );
        return least;
    }

    /// <summary>A whole number that may be left out.</summary>
    public static int? OptionalWhole(this WrittenObject from, string property, int least, int most) =>
        from.Optional(property) is null ? null : from.Whole(property, least, most);

    /// <summary>The number a value stands for, or nothing when it is no number that a farm could need.</summary>
    public static decimal? Number(WrittenValue value) =>
        value.Kind == JsonTokenType.Number
        && decimal.TryParse(value.Text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number)
            ? number
            : null;

    private static long Scaled(WrittenObject from, string property, int scale, decimal least, decimal most, string unit)
    {
        if (from.Required(property) is not { } value)
            return 0;
        if (Number(value) is { } number && number >= least && number <= most)
            return (long)Math.Round(number * scale, MidpointRounding.AwayFromZero);
        var range = FormattableString.Invariant($"from {least} to {most} {unit}").TrimEnd();
        from.Problem(property, $"\"{property}\" must be a number {range}, not {value.KindInWords}.");
        return 0;
    }
}
