using System.Text.Json;
using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Import;

/// <summary>Holds a farm sheet against the farm's register and finds what is new, what is changed and what may not change.</summary>
internal sealed class RegisterComparison
{
    private readonly List<IEntry> entries = [];

    public IReadOnlyList<IEntry> Entries => entries;

    public int Unchanged { get; private set; }

    public RegisterComparison(FarmFile file, FarmSheet sheet, RegisterAt register)
    {
        // The latest entry under a key is the one in force; an older one that says the same has been replaced.
        var inForce = new Dictionary<object, IEntry>();
        foreach (var recorded in register.Entries)
            if (Key(recorded.Entry) is { } key)
                inForce[key] = recorded.Entry;

        CompareFarm(file.FarmProblems, sheet, register);
        foreach (var field in sheet.Fields)
            CompareField(file.FieldProblems!, field, register);
        foreach (var entry in sheet.Equipment)
            Note(entry, inForce.TryGetValue(Key(entry)!, out var known) && WhatIsSaid(entry).Equals(WhatIsSaid(known)));
    }

    private void CompareFarm(ProblemSheet problems, FarmSheet sheet, RegisterAt register)
    {
        var known = register.Entries.Select(recorded => recorded.Entry).OfType<FarmRegistered>().LastOrDefault();
        var wanted = sheet.Farm;
        if (wanted.Lattice == default)
            wanted = wanted with { Lattice = known?.Lattice ?? LatticeOf(sheet.Fields[0].Field) };
        Note(wanted, known is not null);
        if (known is not null && known != wanted)
            problems.Add(
                sheet.FarmLine,
                "The farm is registered already and name, time zone, crop year, ledger begin and coverage step stay as they "
                    + $"were, because the whole ledger rests on them: {JsonSerializer.Serialize(known, EntryForm.Json)}. "
                    + "Put these back, or give the farm a new id."
            );
    }

    private void CompareField(ProblemSheet problems, FieldSheet wanted, RegisterAt register)
    {
        var field = wanted.Field;
        FieldRegistered? registered = null;
        var drawn = new SortedDictionary<DateOnly, Boundary>();
        foreach (var recorded in register.Entries)
            switch (recorded.Entry)
            {
                case FieldRegistered entry when entry.FieldId == field.FieldId:
                    registered = entry;
                    drawn[entry.ValidFrom] = entry.Boundary;
                    break;
                case BoundaryRedrawn entry when entry.FieldId == field.FieldId:
                    drawn[entry.ValidFrom] = entry.Boundary;
                    break;
                default:
                    break;
            }
        var redrawn = !(drawn.TryGetValue(field.ValidFrom, out var before) && Same(before, field.Boundary));
        if (registered is null)
            Note(field, false);
        else if (redrawn && wanted.ChangedBecause is null)
            problems.Add(
                wanted.Line,
                $"field \"{field.FieldId}\" has another boundary than the registered one; if it was redrawn, say from which day "
                    + "(\"validFrom\") and why (\"changedBecause\") among the field's properties."
            );
        else
        {
            if (redrawn)
                Note(
                    new BoundaryRedrawn(field.FieldId, field.Boundary, field.ValidFrom, wanted.ChangedBecause!),
                    false
                );
            if (registered.Name != field.Name || !redrawn)
                Note(field, registered.Name == field.Name);
        }
    }

    private void Note(IEntry entry, bool unchanged)
    {
        if (unchanged)
            Unchanged++;
        else
            entries.Add(entry);
    }

    private static object? Key(IEntry entry) =>
        entry switch
        {
            PitRegistered pit => ("pit", pit.PitId),
            ApplicatorRegistered applicator => ("applicator", applicator.ApplicatorId),
            SourceChanged source => ("source", source.ApplicatorId, source.ValidFrom),
            SpreadingMethodRecorded method => ("method", method.ApplicatorId, method.FieldId, method.ValidFrom),
            NutrientPlanSet plan => ("plan", plan.FieldId, plan.Season),
            ReadingLimitsSet limits => ("limits", limits.EquipmentId, limits.ValidFrom),
            UsualDeviationsSet deviations => ("deviations", deviations.PitId, deviations.ValidFrom),
            AdoptionRuleSet rule => ("rule", rule.SensorId, rule.Analyte),
            AvailabilitySetChosen choice => ("availability", choice.FromSeason),
            _ => MountedSensor.Of(entry) is { } sensor ? ("sensor", sensor.SensorId, sensor.ValidFrom) : null,
        };

    /// <summary>An entry of several shapes is compared by what it says: what is stored in an older shape is not written anew.</summary>
    private static object WhatIsSaid(IEntry entry) => (object?)MountedSensor.Of(entry) ?? entry;

    private static CoverageLattice LatticeOf(FieldRegistered field) =>
        CoverageLattice.At(field.Boundary.Parts[0].Outer.Corners[0].LatitudeE7);

    /// <summary>Boundaries hold lists, which compare by reference; their stored form compares by content.</summary>
    private static bool Same(Boundary one, Boundary other) => Stored(one).AsSpan().SequenceEqual(Stored(other));

    private static byte[] Stored(Boundary boundary) => JsonSerializer.SerializeToUtf8Bytes(boundary, EntryForm.Json);
}
