using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>
/// The registers of farms as the projection goes along: kept from page to page and extended by what was recorded since, read
/// anew after a restart or when a page is tried again.
/// </summary>
internal sealed class FarmRegisters(JournalRows journal)
{
    private readonly Dictionary<string, (Register Register, long Position)> known = [];

    /// <summary>A farm's register as of a position.</summary>
    public async Task<Register> AsOfAsync(string farmId, long position, CancellationToken cancellationToken)
    {
        var (register, from) = known.GetValueOrDefault(farmId, (Register.Empty, 0));
        if (from > position)
            (register, from) = (Register.Empty, 0);
        await foreach (var row in journal.RareAsync(farmId, from, position, cancellationToken))
            register = register.With(row.Entry);
        known[farmId] = (register, position);
        return register;
    }

    /// <summary>A farm's register with everything recorded so far.</summary>
    public async Task<Register> NewestAsync(string farmId, CancellationToken cancellationToken)
    {
        var (register, position) = known.GetValueOrDefault(farmId, (Register.Empty, 0));
        await foreach (var row in journal.RareAsync(farmId, position, long.MaxValue, cancellationToken))
            (register, position) = (register.With(row.Entry), row.Position);
        // Anybody can send under the name of a farm that does not exist; nothing is kept of those.
        if (position > 0)
            known[farmId] = (register, position);
        return register;
    }
}
