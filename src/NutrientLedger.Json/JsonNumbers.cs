using System.Globalization;
using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>
/// Reads numbers out of a farm file. A number is taken as the decimal it is written as, so 1.0005 m is exactly 1000.5 mm and
/// becomes 1001: half away from zero.
/// </summary>
public static class JsonNumbers
{
    /// <summary>Metres, as whole millimetres.</summary>
    public static int Millimetres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        (int)Scaled(source, property, 1000, min, max, "metres");

    /// <summary>A plain ratio, as whole thousandths.</summary>
    public static int Thousandths(this JsonObjectReader source, string property, decimal min, decimal max) =>
        (int)Scaled(source, property, 1000, min, max, "");

    /// <summary>A plain number, as whole millionths.</summary>
    public static long Millionths(this JsonObjectReader source, string property, decimal min, decimal max) =>
        Scaled(source, property, 1_000_000, min, max, "");

    /// <summary>Cubic metres, as whole litres.</summary>
    public static long Litres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        Scaled(source, property, 1000, min, max, "cubic metres");

    /// <summary>Cubic metres, as whole millilitres; may be left out.</summary>
    public static long? OptionalMillilitres(this JsonObjectReader source, string property, decimal min, decimal max) =>
        source.Optional(property) is null ? null : Scaled(source, property, 1_000_000, min, max, "cubic metres");

    /// <summary>Kilograms per hectare, as whole grams per hectare; may be left out.</summary>
    public static long? OptionalGramsPerHectare(
        this JsonObjectReader source,
        string property,
        decimal min,
        decimal max
    ) => source.Optional(property) is null ? null : Scaled(source, property, 1000, min, max, "kilograms per hectare");

    /// <summary>A number in a unit, as whole parts of which so many make one; may be left out.</summary>
    public static long? OptionalScaled(
        this JsonObjectReader source,
        string property,
        int scale,
        decimal min,
        decimal max,
        string unit
    ) => source.Optional(property) is null ? null : Scaled(source, property, scale, min, max, unit);

    /// <summary>Whole parts, of which so many make one; half away from zero.</summary>
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

    /// <summary>A whole number that may be left out.</summary>
    public static int? OptionalWhole(this JsonObjectReader source, string property, int min, int max) =>
        source.Optional(property) is null ? null : source.Whole(property, min, max);

    /// <summary>The number a value stands for, or nothing when it is no number that a farm could need.</summary>
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
