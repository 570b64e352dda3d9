using System.Security.Cryptography;
using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Tests.Ledger;

namespace NutrientLedger.Tests.Journal.StoredEvents;

public class HashChainTests
{
    private static readonly IJournalEvent[] Entries = [Some.Farm(), Some.Applicator(), Some.Pack(new Pass(3).Drive())];

    [Fact]
    public void A_link_is_the_hash_of_the_link_before_the_stored_name_and_the_stored_bytes()
    {
        var start = HashChain.Start("three-elms", "register");
        byte[] linked = [.. Encoding.UTF8.GetBytes(start + "\nfarm_registered\n"), .. EventCodec.Encode(Some.Farm())];

        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData("three-elms\nregister"u8)), start);
        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData(linked)), HashChain.Next(start, Some.Farm()));
    }

    [Fact]
    public void A_removed_changed_or_swapped_entry_changes_the_last_link()
    {
        var whole = LastLink(Entries);

        Assert.NotEqual(whole, LastLink(Entries[1..]));
        Assert.NotEqual(whole, LastLink([Entries[1], Entries[0], Entries[2]]));
        Assert.NotEqual(whole, LastLink([Entries[0], Entries[1], Some.Pack(new Pass(4).Drive())]));
        Assert.NotEqual(whole, LastLink(Entries, stream: "another stream"));
    }

    private static string LastLink(IEnumerable<IJournalEvent> entries, string stream = "register") =>
        entries.Aggregate(HashChain.Start("three-elms", stream), HashChain.Next);
}
