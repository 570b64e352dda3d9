using System.Globalization;
using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>
/// Reads numbers from a hand-written JSON file. A number is taken as the decimal that stands in the file. It is rounded
/// once, half away from zero: 1.0005 m is 1000.5 mm and becomes 1001.
/// </summary>
public static class JsonNumbers
{
    /// <summary>Metres, returned as whole millimetres.</summary>
    public static int Millimetres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        (int)Scaled(source, property, 1000, min, max, "metres");

    /// <summary>A plain ratio, returned as whole thousandths.</summary>
    public static int Thousandths(this JsonObjectReader source, string property, decimal min, decimal max) =>
        (int)Scaled(source, property, 1000, min, max, "");

    /// <summary>A plain number, returned as whole millionths.</summary>
    public static long Millionths(this JsonObjectReader source, string property, decimal min, decimal max) =>
        Scaled(source, property, 1_000_000, min, max, "");

    /// <summary>Cubic metres, returned as whole litres.</summary>
    public static long Litres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        Scaled(source, property, 1000, min, max, "cubic metres");

    /// <summary>Cubic metres, returned as whole millilitres. Optional.</summary>
    public static long? OptionalMillilitres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        source.Optional(property) is null ? null : Scaled(source, property, 1_000_000, min, max, "cubic metres");

    /// <summary>Kilograms per hectare, returned as whole grams per hectare. Optional.</summary>
    public static long? OptionalGramsPerHectare(
        this JsonObjectReader source,
        string property,
        decimal min,
        decimal max
    ) => source.Optional(property) is null ? null : Scaled(source, property, 1000, min, max, "kilograms per hectare");

    /// <summary>
    /// A number in the given unit, returned as whole parts; <paramref name="scale"/> parts make one unit. Optional.
    /// </summary>
    public static long? OptionalScaled(
        this JsonObjectReader source,
        string property,
        int scale,
        decimal min,
        decimal max,
        string unit
    ) => source.Optional(property) is null ? null : Scaled(source, property, scale, min, max, unit);

    /// <summary>
    /// A number as whole parts, rounded half away from zero; <paramref name="scale"/> parts make one unit.
    /// </summary>
    public static long? Whole(decimal? number, int scale) =>
        number is { } known ? (long)Math.Round(known * scale, MidpointRounding.AwayFromZero) : null;

    /// <summary>A whole number.</summary>
    public static int Whole(this JsonObjectReader source, string property, int min, int max)
    {
        if (source.Required(property) is not { } value)
            return min;
        if (Number(value) is { } number && decimal.IsInteger(number) && number >= min && number <= max)
            return (int)number;
        source.AddProblem(
            property,
            $"\"{property}\" must be a whole number from {min} to {max}, not {value.KindInWords}."
        );
        return min;
    }

    /// <summary>A whole number. Optional.</summary>
    public static int? OptionalWhole(this JsonObjectReader source, string property, int min, int max) =>
        source.Optional(property) is null ? null : source.Whole(property, min, max);

    /// <summary>The value as a decimal; null when it is not a number or is outside the range of a decimal.</summary>
    public static decimal? Number(PositionedJsonValue value) =>
        value.Kind == JsonTokenType.Number
        && decimal.TryParse(value.Text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number)
            ? number
            : null;

    private static long Scaled(
        JsonObjectReader source,
        string property,
        int scale,
        decimal min,
        decimal max,
        string unit
    )
    {
        if (source.Required(property) is not { } value)
            return 0;
        if (Number(value) is { } number && number >= min && number <= max)
            return (long)Math.Round(number * scale, MidpointRounding.AwayFromZero);
        var range = FormattableString.Invariant($"from {min} to {max} {unit}").TrimEnd();
        source.AddProblem(property, $"\"{property}\" must be a number {range}, not {value.KindInWords}.");
        return 0;
    }
}
