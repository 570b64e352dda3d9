using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Replays;

namespace NutrientLedger.Web.Queries.Fields;

/// <summary>Maps what each field had received at a journal position.</summary>
public static class EarlierFieldMapping
{
    public static IReadOnlyList<EarlierFieldResponse> Fields(FarmConfiguration configuration, LedgerView ledger) =>
        [
            .. from of in ledger
                .Lines.Keys.Where(key => key.FieldId.Length > 0)
                .Select(key => (key.FieldId, key.Season))
                .Distinct()
            orderby of.FieldId, of.Season
            let balance = FieldBalance.Of(configuration, ledger.Lines, ledger.Coverage, of.FieldId, of.Season)
            select new EarlierFieldResponse(
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
