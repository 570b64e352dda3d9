using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Tests.Journal.StoredEvents;

/// <summary>The expected hashes were made with sha256sum (GNU coreutils), from the bytes the README names.</summary>
public class FarmChainTests
{
    private static readonly DateTimeOffset Recorded = new(2026, 4, 14, 15, 0, 0, 500, TimeSpan.Zero);

    [Fact]
    public void A_hash_covers_the_hash_before_position_time_of_recording_and_the_hash_in_the_stream() =>
        Assert.Equal(
            "efe1f3c07c95051e1a5159901524c4a1c6c743c23e063ecd10f2fc2a334c384f",
            Convert.ToHexStringLower(FarmChain.Next(FarmChain.Start("three-elms"), 17, Recorded, "2:abc"))
        );

    [Fact]
    public void Each_of_them_changes_the_hash()
    {
        var start = FarmChain.Start("three-elms");
        byte[][] all =
        [
            FarmChain.Next(start, 17, Recorded, "2:abc"),
            FarmChain.Next(FarmChain.Start("alder-bank"), 17, Recorded, "2:abc"),
            FarmChain.Next(start, 18, Recorded, "2:abc"),
            FarmChain.Next(start, 17, Recorded.AddMicroseconds(1), "2:abc"),
            FarmChain.Next(start, 17, Recorded, "2:abd"),
        ];

        Assert.Equal(all.Length, all.Select(Convert.ToHexStringLower).Distinct().Count());
    }

    [Fact]
    public void The_hash_over_all_farms_is_that_of_their_lines_in_the_order_of_their_ids() =>
        Assert.Equal(
            "5da20b47393fecf31ce997b8184ff95a245d7afc7b9646753381f2e4bebf603c",
            FarmChain.OfAll([("three-elms", 17, "aa"), ("alder-bank", 12, "bb")])
        );
}
