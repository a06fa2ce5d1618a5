using System.Globalization;
using System.Text;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Reading;

public sealed class CanonicalJsonTests
{
    [Fact]
    public void The_worked_example_of_rfc_8785_section_3_2_2_comes_out_byte_by_byte()
    {
        const string Input = """
            {
              "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
              "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
              "literals": [null, true, false]
            }
            """;
        const string Expected = """{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}""";

        Assert.Equal(Expected, Canonical(Input));
    }

    [Fact]
    public void Names_are_sorted_by_utf_16_units_as_in_rfc_8785_section_3_2_3()
    {
        const string Input = """
            {
              "\u20ac": "Euro Sign",
              "\r": "Carriage Return",
              "\ufb33": "Hebrew Letter Dalet With Dagesh",
              "1": "One",
              "\ud83d\ude00": "Emoji: Grinning Face",
              "\u0080": "Control",
              "\u00f6": "Latin Small Letter O With Diaeresis"
            }
            """;

        string[] order = ["Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign", "Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh"];
        var canonical = Canonical(Input);

        Assert.Equal(order, order.OrderBy(value => canonical.IndexOf(value, StringComparison.Ordinal)));
        Assert.StartsWith("{\"\\r\":\"Carriage Return\",\"1\":\"One\",", canonical, StringComparison.Ordinal);
    }

    // RFC 8785, Appendix B, number serialization samples.
    [Theory]
    [InlineData("0000000000000000", "0")]
    [InlineData("8000000000000000", "0")]
    [InlineData("0000000000000001", "5e-324")]
    [InlineData("8000000000000001", "-5e-324")]
    [InlineData("7fefffffffffffff", "1.7976931348623157e+308")]
    [InlineData("ffefffffffffffff", "-1.7976931348623157e+308")]
    [InlineData("4340000000000000", "9007199254740992")]
    [InlineData("c340000000000000", "-9007199254740992")]
    [InlineData("4430000000000000", "295147905179352830000")]
    [InlineData("44b52d02c7e14af5", "9.999999999999997e+22")]
    [InlineData("44b52d02c7e14af6", "1e+23")]
    [InlineData("44b52d02c7e14af7", "1.0000000000000001e+23")]
    [InlineData("444b1ae4d6e2ef4e", "999999999999999700000")]
    [InlineData("444b1ae4d6e2ef4f", "999999999999999900000")]
    [InlineData("444b1ae4d6e2ef50", "1e+21")]
    [InlineData("3eb0c6f7a0b5ed8c", "9.999999999999997e-7")]
    [InlineData("3eb0c6f7a0b5ed8d", "0.000001")]
    [InlineData("41b3de4355555553", "333333333.3333332")]
    [InlineData("41b3de4355555554", "333333333.33333325")]
    [InlineData("41b3de4355555555", "333333333.3333333")]
    [InlineData("41b3de4355555556", "333333333.3333334")]
    [InlineData("41b3de4355555557", "333333333.33333343")]
    [InlineData("becbf647612f3696", "-0.0000033333333333333333")]
    [InlineData("43143ff3c1cb0959", "1424953923781206.2")]
    public void Numbers_are_written_as_rfc_8785_appendix_b_lists_them(string ieee754, string expected) =>
        Assert.Equal(expected, EcmaScriptNumber.Format(BitConverter.Int64BitsToDouble(long.Parse(ieee754, NumberStyles.HexNumber, CultureInfo.InvariantCulture))));

    [Fact]
    public void Order_white_space_and_number_spelling_do_not_change_the_hash()
    {
        var hash = CanonicalJson.Hash("""{"b":[1,2.50],"a":"ö"}"""u8.ToArray());

        Assert.Equal(hash, CanonicalJson.Hash("""{ "a" : "\u00f6", "b" : [ 1.0, 2.5 ] }"""u8.ToArray()));
        Assert.NotEqual(hash, CanonicalJson.Hash("""{"b":[2.50,1],"a":"ö"}"""u8.ToArray()));
        Assert.Matches("^[0-9a-f]{64}$", hash);
    }

    [Fact]
    public void The_hash_is_the_sha_256_of_the_canonical_bytes() =>
        // SHA-256 of the two bytes {} is a widely published value.
        Assert.Equal("44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a", CanonicalJson.Hash(" { } "u8.ToArray()));

    [Fact]
    public void Every_changed_value_of_a_visit_changes_the_hash()
    {
        var hash = CanonicalJson.Hash(Encoding.UTF8.GetBytes(Fixture.Finished));

        Assert.Equal(hash, CanonicalJson.Hash(Fixture.FinishedWith(_ => { })));
        Assert.NotEqual(hash, CanonicalJson.Hash(Fixture.FinishedWith(it => it["ears"]![0]!["deposits"]![0]!["depthMm"] = 12.6)));
    }

    private static string Canonical(string json) => Encoding.UTF8.GetString(CanonicalJson.Canonicalize(Encoding.UTF8.GetBytes(json)));
}
