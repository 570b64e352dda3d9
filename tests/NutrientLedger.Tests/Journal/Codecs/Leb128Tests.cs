using NutrientLedger.Journal.Codecs;

namespace NutrientLedger.Tests.Journal.Codecs;

/// <summary>One-byte numbers have their own read path. Every length is read here, at every place.</summary>
public class Leb128Tests
{
    public static TheoryData<int> Lengths => [.. Enumerable.Range(1, 10)];

    [Theory]
    [MemberData(nameof(Lengths))]
    public void The_smallest_and_the_largest_number_of_each_length_come_back_at_any_place(int length)
    {
        var least = length == 1 ? 0 : 1ul << (7 * (length - 1));
        var greatest = length == 10 ? ulong.MaxValue : (1ul << (7 * length)) - 1;
        for (var before = 0; before < 10; before++)
        for (var after = 0; after < 10; after++)
        {
            var to = new Leb128Writer();
            to.WriteBytes(new byte[before]);
            to.WriteUnsigned(least);
            to.WriteUnsigned(greatest);
            to.WriteBytes(new byte[after]);
            var stored = to.ToArray();
            Assert.Equal(before + (2 * length) + after, stored.Length);

            var from = new Leb128Reader(stored);
            _ = from.ReadBytes((ulong)before);
            Assert.Equal(least, from.ReadUnsigned());
            Assert.Equal(greatest, from.ReadUnsigned());
            _ = from.ReadBytes((ulong)after);
            Assert.True(from.AtEnd);
        }
    }

    [Theory]
    [MemberData(nameof(Lengths))]
    public void A_number_cut_anywhere_is_named_as_cut(int length)
    {
        var to = new Leb128Writer();
        to.WriteUnsigned(length == 10 ? ulong.MaxValue : (1ul << (7 * length)) - 1);
        for (var left = 0; left < length; left++)
        {
            var cut = to.ToArray()[..left];
            var error = Assert.Throws<FormatException>(() => new Leb128Reader(cut).ReadUnsigned());
            Assert.Contains("end before", error.Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void A_number_of_more_than_ten_bytes_is_rejected_even_if_its_value_is_one()
    {
        byte[] overlong = [.. Enumerable.Repeat((byte)0x80, 10), 0];
        var error = Assert.Throws<FormatException>(() => new Leb128Reader(overlong).ReadUnsigned());
        Assert.Contains("longer than ten bytes", error.Message, StringComparison.Ordinal);
        Assert.Equal(0ul, new Leb128Reader([0x80, 0]).ReadUnsigned());
    }
}
