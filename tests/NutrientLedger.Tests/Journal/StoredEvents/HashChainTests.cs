using System.Security.Cryptography;
using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Tests.Ledger;

namespace NutrientLedger.Tests.Journal.StoredEvents;

public class HashChainTests
{
    private static readonly Guid Id = new("5f1c1a52-1f58-5e4e-9d6b-0d3a2f0b7c11");

    private static readonly IJournalEvent[] Events = [Some.Farm(), Some.Applicator(), Some.Batch(new Pass(3).Drive())];

    [Fact]
    public void A_chain_hash_covers_the_hash_before_version_id_stored_name_and_stored_bytes()
    {
        var start = HashChain.Start("three-elms", "configuration");
        var stored = EventCodec.Encode(Some.Farm());
        byte[] linked = [.. Encoding.UTF8.GetBytes($"{start}\n1\n{Id}\nfarm_registered\n"), .. stored];

        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData("three-elms\nconfiguration"u8)), start);
        Assert.Equal(
            "2:" + Convert.ToHexStringLower(SHA256.HashData(linked)),
            HashChain.Next(start, 1, Id, "farm_registered", stored)
        );
    }

    [Fact]
    public void A_hash_of_version_3_is_right_only_before_the_first_one_of_the_present_form()
    {
        var start = HashChain.Start("three-elms", "configuration");
        var stored = EventCodec.Encode(Some.Farm());
        byte[] linked = [.. Encoding.UTF8.GetBytes($"{start}\nfarm_registered\n"), .. stored];
        var earlier = Convert.ToHexStringLower(SHA256.HashData(linked));
        Assert.True(HashChain.Matches(earlier, start, 1, Id, "farm_registered", stored));

        var present = HashChain.Next(earlier, 2, Id, "farm_registered", stored);
        Assert.True(HashChain.Matches(present, earlier, 2, Id, "farm_registered", stored));
        byte[] again = [.. Encoding.UTF8.GetBytes($"{present}\nfarm_registered\n"), .. stored];
        Assert.False(
            HashChain.Matches(
                Convert.ToHexStringLower(SHA256.HashData(again)),
                present,
                3,
                Id,
                "farm_registered",
                stored
            )
        );
    }

    [Fact]
    public void A_removed_changed_or_swapped_event_changes_the_last_hash()
    {
        var whole = LastHash(Events);

        Assert.NotEqual(whole, LastHash(Events[1..]));
        Assert.NotEqual(whole, LastHash([Events[1], Events[0], Events[2]]));
        Assert.NotEqual(whole, LastHash([Events[0], Events[1], Some.Batch(new Pass(4).Drive())]));
        Assert.NotEqual(whole, LastHash(Events, stream: "another stream"));
        Assert.NotEqual(whole, LastHash(Events, firstVersion: 2));
        Assert.NotEqual(whole, LastHash(Events, id: Guid.Empty));
    }

    private static string LastHash(
        IEnumerable<IJournalEvent> events,
        string stream = "configuration",
        long firstVersion = 1,
        Guid? id = null
    ) =>
        events.Aggregate(
            HashChain.Start("three-elms", stream),
            (before, @event) =>
                HashChain.Next(before, firstVersion++, id ?? Id, EventTypes.NameOf(@event), EventCodec.Encode(@event))
        );
}
