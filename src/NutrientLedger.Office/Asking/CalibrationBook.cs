using System.Text.Json;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>What is wrong with one property of a calibration that is asked for.</summary>
internal sealed record CalibrationFault(string Property, string WhatToDo);

/// <summary>Reads the calibrations that people ask for and writes out those that stand in the journal.</summary>
internal static class CalibrationBook
{
    private const decimal Millionths = 1_000_000;
    private const decimal Thousandths = 1000;

    // Far beyond any sensor that is worth correcting; a slip of the pen is caught here.
    private const decimal SlopeMost = 10;
    private const decimal InterceptMost = 1_000_000;

    /// <summary>The entry that a question asks for, or everything that keeps it from being one.</summary>
    public static (CalibrationAdopted? Entry, IReadOnlyList<CalibrationFault> Faults) Read(
        CalibrationQuestion asked,
        Register register,
        bool isStored
    )
    {
        var faults = new List<CalibrationFault>();
        Need("calibration", asked.Calibration, "an id of its own, such as nir-1-nitrogen-2026");
        // A preview adopts nothing, so nobody need stand for it.
        if (isStored)
            Need("adoptedBy", asked.AdoptedBy, "who adopts it");
        Need("why", asked.Why, "the reason, for those who read it in years to come");
        string[] sensors = [.. register.Sensors.Select(sensor => sensor.SensorId).Distinct()];
        Require(sensors.Contains(asked.Sensor), "sensor", $"name one of {string.Join(", ", sensors)}");
        Require(
            asked.Pit is null || register.Pit(asked.Pit) is not null,
            "pit",
            $"name one of {string.Join(", ", register.Pits.Select(pit => pit.PitId))}, or leave it out for all"
        );
        var analytes = Enum.GetValues<Analyte>().ToDictionary(Word);
        Require(
            analytes.TryGetValue(asked.Analyte ?? "", out var analyte),
            "analyte",
            $"write one of {string.Join(", ", analytes.Keys)}"
        );
        var isDryMatter = analyte == Analyte.DryMatter;
        var (inUnit, inOther) = ("interceptMilligramsPerLitre", "interceptPartsPerMillion");
        if (isDryMatter)
            (inUnit, inOther) = (inOther, inUnit);
        Require(
            (isDryMatter ? asked.InterceptMilligramsPerLitre : asked.InterceptPartsPerMillion) is null,
            inOther,
            "give interceptPartsPerMillion for dry matter, interceptMilligramsPerLitre for nutrients"
        );
        var intercept = (isDryMatter ? asked.InterceptPartsPerMillion : asked.InterceptMilligramsPerLitre) ?? 0;
        var slope = asked.Slope ?? 1;
        Require(
            slope is > 0 and <= SlopeMost && IsWhole(slope * Millionths),
            "slope",
            $"a number above 0 up to {SlopeMost} with at most six decimals"
        );
        Require(
            Math.Abs(intercept) <= InterceptMost && IsWhole(intercept * Thousandths),
            inUnit,
            "at most 1000000 either way, with at most three decimals"
        );
        const string wholeHour = "a whole hour of the farm's clock";
        Require(
            asked.ValidFrom is not null,
            "validFrom",
            "the farm hour from which it holds, such as 2026-04-21T14:00:00Z"
        );
        Require(IsFarmHour(asked.ValidFrom), "validFrom", wholeHour);
        Require(IsFarmHour(asked.ValidTo), "validTo", wholeHour);
        Require(
            !(asked.ValidTo <= asked.ValidFrom),
            "validTo",
            "later than validFrom, or left out until further notice"
        );
        foreach (var id in asked.LabReports ?? [])
            if (register.LabReports.Find(id) is not { } report)
                faults.Add(new("labReports", $"there is no laboratory report {id}; enter it first at lab-results"));
            else if (report.SupersededBy is { } later)
                faults.Add(new("labReports", $"{id} was corrected; go by {later}"));
        if (faults.Count > 0)
            return (null, faults);
        return (
            new(
                asked.Calibration!,
                asked.Sensor!,
                analyte,
                (long)(slope * Millionths),
                (long)(intercept * Thousandths),
                asked.ValidFrom!.Value,
                asked.ValidTo,
                asked.Pit,
                [.. asked.LabReports ?? []],
                asked.AdoptedBy ?? "",
                asked.Why!
            ),
            faults
        );

        void Need(string name, string? text, string what) =>
            Require(!string.IsNullOrWhiteSpace(text), name, $"write {what}");

        void Require(bool sound, string property, string whatToDo)
        {
            if (!sound)
                faults.Add(new(property, whatToDo));
        }

        bool IsFarmHour(DateTimeOffset? moment) =>
            moment is not { } at
            || (
                at.Ticks % TimeSpan.TicksPerSecond == 0
                && register.Calendar!.HourStartSeconds(at.ToUnixTimeMilliseconds()) == at.ToUnixTimeSeconds()
            );
    }

    /// <summary>Everything ever adopted, with what became of it.</summary>
    public static IEnumerable<CalibrationAnswer> All(RegisterAt at)
    {
        foreach (var recorded in at.Entries)
            if (Calibrations.Adoption(recorded.Entry) is { } adopted)
            {
                var withdrawal = at.Entries.FirstOrDefault(later =>
                    later.Place > recorded.Place
                    && later.Entry is CalibrationWithdrawn taken
                    && taken.CalibrationId == adopted.CalibrationId
                );
                var next = at.Entries.FirstOrDefault(later =>
                    later.Place > recorded.Place
                    && Calibrations.Adoption(later.Entry)?.CalibrationId == adopted.CalibrationId
                );
                // What was taken back before the next one came was not replaced by it.
                var isReplaced = next is not null && !(withdrawal?.Place < next.Place);
                var withdrawn = (CalibrationWithdrawn?)withdrawal?.Entry;
                var intercept = adopted.InterceptThousandths / Thousandths;
                var isDryMatter = adopted.Analyte == Analyte.DryMatter;
                yield return new(
                    adopted.CalibrationId,
                    recorded.Position,
                    recorded.RecordedAt,
                    adopted.SensorId,
                    Word(adopted.Analyte),
                    adopted.SlopeMillionths / Millionths,
                    isDryMatter ? null : intercept,
                    isDryMatter ? intercept : null,
                    adopted.ValidFrom,
                    adopted.ValidTo,
                    adopted.PitId,
                    adopted.ReportIds,
                    adopted.AdoptedBy,
                    adopted.Why,
                    withdrawn?.WithdrawnBy,
                    withdrawn?.Why,
                    isReplaced ? next!.Position : null
                );
            }
    }

    public static ChangeAnswer Change(ChangedSpread change) =>
        new(
            change.FieldId.Length > 0 ? change.FieldId : null,
            change.Season,
            change.PitId.Length > 0 ? change.PitId : null,
            change.After.VolumeCubicMetres,
            change.Before.FlaggedShare,
            change.After.FlaggedShare,
            FieldBook.Elemental(change.Before),
            FieldBook.Elemental(change.After)
        );

    public static string Word(Analyte analyte) => JsonNamingPolicy.CamelCase.ConvertName(analyte.ToString());

    private static bool IsWhole(decimal number) => number == decimal.Truncate(number);
}
