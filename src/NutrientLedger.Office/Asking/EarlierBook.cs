using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out what each field had received when the journal had reached a position.</summary>
public static class EarlierBook
{
    public static IReadOnlyList<EarlierField> Fields(Register register, LedgerView ledger) =>
        [
            .. from of in ledger
                .Lines.Keys.Where(key => key.FieldId.Length > 0)
                .Select(key => (key.FieldId, key.Season))
                .Distinct()
            orderby of.FieldId, of.Season
            let balance = FieldBalance.Of(register, ledger.Lines, ledger.Coverage, of.FieldId, of.Season)
            select new EarlierField(
                of.FieldId,
                of.Season,
                balance.Spread.VolumeCubicMetres,
                balance.Spread.TotalNitrogen.Kilograms,
                balance.Spread.P2O5Kilograms,
                balance.Spread.K2OKilograms,
                balance.CoveredSquareMetres
            ),
        ];
}
