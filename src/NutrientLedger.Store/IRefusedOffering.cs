namespace NutrientLedger.Store;

/// <summary>Offers refused messages to the journal again, read as if they had just arrived. Whoever reads messages implements it.</summary>
public interface IRefusedOffering
{
    /// <summary>Offers a message and says what became of it; a message that is not open is not offered.</summary>
    Task<AppendFate> OfferAsync(RefusedWhole message, CancellationToken cancellationToken);
}
