namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>One device of a farm.</summary>
public readonly record struct FarmDevice(string FarmId, string EquipmentId);
