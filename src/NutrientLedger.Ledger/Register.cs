using NutrientLedger.Journal;

namespace NutrientLedger.Ledger;

/// <summary>
/// All the rare entries of one farm folded into what was in force when: farm, fields, pits, applicators, sensors, sources,
/// methods and plans. Immutable; a new entry makes a new register.
/// </summary>
public sealed class Register
{
    public static readonly Register Empty = new();

    /// <summary>The register with one more entry; packs of telemetry leave it as it is.</summary>
    public Register With(IEntry entry) => throw new NotImplementedException();

    /// <summary>Whether an entry of this kind can change lines that are already posted (plans and methods cannot).</summary>
    public static bool ChangesLines(IEntry entry) => throw new NotImplementedException();
}
