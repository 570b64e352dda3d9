using System.Security.Cryptography;
using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Tests.Ledger;

namespace NutrientLedger.Tests.Journal.StoredEvents;

public class HashChainTests
{
    private static readonly IJournalEvent[] Events = [Some.Farm(), Some.Applicator(), Some.Batch(new Pass(3).Drive())];

    [Fact]
    public void A_chain_hash_covers_the_hash_before_the_stored_name_and_the_stored_bytes()
    {
        var start = HashChain.Start("three-elms", "configuration");
        byte[] linked = [.. Encoding.UTF8.GetBytes(start + "\nfarm_registered\n"), .. EventCodec.Encode(Some.Farm())];

        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData("three-elms\nconfiguration"u8)), start);
        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData(linked)), HashChain.Next(start, Some.Farm()));
    }

    [Fact]
    public void A_removed_changed_or_swapped_event_changes_the_last_hash()
    {
        var whole = LastHash(Events);

        Assert.NotEqual(whole, LastHash(Events[1..]));
        Assert.NotEqual(whole, LastHash([Events[1], Events[0], Events[2]]));
        Assert.NotEqual(whole, LastHash([Events[0], Events[1], Some.Batch(new Pass(4).Drive())]));
        Assert.NotEqual(whole, LastHash(Events, stream: "another stream"));
    }

    private static string LastHash(IEnumerable<IJournalEvent> events, string stream = "configuration") =>
        events.Aggregate(HashChain.Start("three-elms", stream), HashChain.Next);
}
