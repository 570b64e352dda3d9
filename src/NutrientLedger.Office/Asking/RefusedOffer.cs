using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Has refused messages offered again, one or all of a farm.</summary>
internal sealed class RefusedOffer(RefusedList list, IRefusedOffering offering)
{
    private const int ExamplesMax = 20;
    private const int PageMost = 500;

    /// <summary>Offers one open message.</summary>
    public async Task<OfferedAnswer> OneAsync(RefusedWhole message, CancellationToken cancellationToken) =>
        RefusedBook.Offered(message.Listing.Id, await offering.OfferAsync(message, cancellationToken));

    /// <summary>Offers all open messages of a farm once, oldest first, so that numbers arrive as they were counted.</summary>
    public async Task<AllOfferedAnswer> AllAsync(string farmId, CancellationToken cancellationToken)
    {
        var (offered, stored, readings, last) = (0, 0, 0L, 0L);
        var examples = new List<OfferedAnswer>();
        while (await list.OpenAsync(farmId, last, PageMost, cancellationToken) is { Count: > 0 } page)
            foreach (var id in page)
            {
                last = id;
                if (
                    await list.ReadAsync(id, cancellationToken) is not { } message
                    || message.Listing.State != RefusedState.Open
                )
                    continue;
                var outcome = await OneAsync(message, cancellationToken);
                offered++;
                stored += outcome.Stored ? 1 : 0;
                readings += outcome.Readings;
                if (!outcome.Stored && examples.Count < ExamplesMax)
                    examples.Add(outcome);
            }
        return new(farmId, offered, stored, readings, offered - stored, examples);
    }
}
