using System.Text.Json;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Office.Import.Written;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>
/// Calibrations to be tried, as written: one object in the form in which calibrations are posted, or a list of them. Every fault is on the
/// problem sheet with its line.
/// </summary>
internal sealed class CalibrationFile
{
    private readonly List<WrittenObject> calibrations = [];

    public CalibrationFile(string name, byte[] utf8)
    {
        Problems = new(name);
        if (WrittenText.Parse(utf8, Problems) is not { } whole)
            return;
        foreach (var value in whole.Kind == JsonTokenType.StartArray ? whole.Items : [whole])
            if (new WrittenObject("calibration", value, Problems) is { IsObject: true } calibration)
                calibrations.Add(calibration);
        if (whole is { Kind: JsonTokenType.StartArray, Items.Count: 0 })
            Problems.Add(whole.Line, "The list is empty; write at least one calibration.");
    }

    public ProblemSheet Problems { get; }

    /// <summary>The calibrations in the order of the file; only of use when no problem was found.</summary>
    public IReadOnlyList<CalibrationAdopted> Entries(RegisterAt at)
    {
        var taken = CalibrationBook.All(at).Select(known => known.Calibration).ToHashSet();
        var entries = new List<CalibrationAdopted>();
        foreach (var written in calibrations)
        {
            var question = Question(written);
            written.NothingElse();
            var (entry, faults) = CalibrationBook.Read(question, at.Register, isStored: false);
            // What could not even be read has been told.
            foreach (var fault in written.HasProblem ? [] : faults)
                written.Problem(fault.Property, $"{fault.Property}: {fault.WhatToDo}.");
            if (question.Calibration is { } id && !taken.Add(id))
                written.Problem(
                    "calibration",
                    $"\"{id}\" was adopted before or stands here twice; give it another id."
                );
            if (entry is not null)
                entries.Add(entry);
        }
        return entries;
    }

    private static CalibrationQuestion Question(WrittenObject written) =>
        new(
            Text(written, "calibration"),
            Text(written, "sensor"),
            Text(written, "analyte"),
            Number(written, "slope"),
            Number(written, "interceptMilligramsPerLitre"),
            Number(written, "interceptPartsPerMillion"),
            Moment(written, "validFrom"),
            Moment(written, "validTo"),
            Text(written, "pit"),
            Reports(written),
            Text(written, "adoptedBy"),
            Text(written, "why")
        );

    private static string? Text(WrittenObject written, string property)
    {
        if (written.Optional(property) is not { } value)
            return null;
        if (value.Kind == JsonTokenType.String)
            return value.Text;
        written.Problem(property, $"\"{property}\" must be a text, not {value.KindInWords}.");
        return null;
    }

    private static decimal? Number(WrittenObject written, string property)
    {
        if (written.Optional(property) is not { } value)
            return null;
        if (WrittenNumbers.Number(value) is { } number)
            return number;
        written.Problem(property, $"\"{property}\" must be a number, not {value.KindInWords}.");
        return null;
    }

    private static DateTimeOffset? Moment(WrittenObject written, string property) =>
        written.Optional(property) is null ? null : written.Moment(property);

    private static List<string> Reports(WrittenObject written)
    {
        const string property = "labReports";
        if (written.Optional(property) is not { } list)
            return [];
        if (list.Kind == JsonTokenType.StartArray && list.Items.All(item => item.Kind == JsonTokenType.String))
            return [.. list.Items.Select(item => item.Text)];
        written.Problem(property, $"\"{property}\" must be a list of the ids of laboratory reports.");
        return [];
    }
}
