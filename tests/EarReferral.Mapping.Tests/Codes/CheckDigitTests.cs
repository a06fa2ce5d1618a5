using System.Globalization;
using System.Reflection;
using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;

namespace EarReferral.Mapping.Tests.Codes;

public sealed class CheckDigitTests
{
    public static TheoryData<string> SnomedCodes => [.. Terms(typeof(Snomed)).Select(term => term.Code)];

    public static TheoryData<string> LoincCodes => [.. Terms(typeof(Loinc)).Select(term => term.Code)];

    [Theory]
    [MemberData(nameof(SnomedCodes))]
    public void Snomed_identifier_has_a_valid_check_digit_and_is_a_concept(string code)
    {
        Assert.True(Verhoeff(code));
        Assert.Contains(code[^3..^1], new[] { "00", "10" }); // Partition identifier of a concept, SNOMED CT Release File Specification.
    }

    [Theory]
    [MemberData(nameof(LoincCodes))]
    public void Loinc_code_has_a_valid_check_digit(string code) => Assert.Equal(Mod10(code[..^2]), code[^1] - '0');

    [Fact]
    public void Check_digit_algorithms_agree_with_published_examples()
    {
        Assert.Equal(5, Mod10("12345")); // Worked example of the LOINC Users' Guide, appendix on the Mod 10 check digit.
        Assert.True(Verhoeff("2363")); // Verhoeff's own example as commonly reproduced: 236 has check digit 3.
        Assert.True(Verhoeff("18070006"));
        Assert.False(Verhoeff("18070007"));
    }

    [Fact]
    public void Each_code_is_written_down_once()
    {
        var all = new[] { typeof(Snomed), typeof(Loinc), typeof(Hl7Codes), typeof(LocalCodes) }.SelectMany(Terms).ToList();

        Assert.Equal(all.Count, all.DistinctBy(term => (term.System, term.Code)).Count());
    }

    [Fact]
    public void A_code_seen_in_one_publication_says_so_in_its_row()
    {
        var weak = Terms(typeof(Snomed)).Concat(Terms(typeof(Loinc))).Where(term => term.Evidence is Evidence.OnePublication).ToList();

        Assert.NotEmpty(weak);
        Assert.All(weak, term => Assert.Matches("only|no second", term.Source));
    }

    [Fact]
    public void Every_finding_with_a_published_code_is_in_the_catalogue()
    {
        var catalogue = FindingCatalogue.Patient.Select(row => row.Code)
            .Concat(FindingCatalogue.Ear.Select(row => row.Code))
            .Concat(FindingCatalogue.Otoscopy.Select(row => row.Code))
            .ToHashSet(StringComparer.Ordinal);

        Assert.All(FindingTerms.Findings, code => Assert.Contains(code, catalogue));
    }

    [Theory]
    [InlineData(EarSide.Right, 1000, "89017-8", "one public value set shifts this code to the left ear at 2000 Hz")]
    [InlineData(EarSide.Left, 2000, "89018-6", "the code it is confused with")]
    [InlineData(EarSide.Left, 125, null, "no code was seen for 125 Hz")]
    public void Threshold_code_belongs_to_ear_and_frequency(EarSide side, int hertz, string? code, string reason)
    {
        Assert.NotEmpty(reason);
        Assert.Equal(code, Loinc.AirThreshold(side, hertz)?.Code);
    }

    [Theory]
    [InlineData(25.4, "25.4 mm (1.00 in)", "1 in = 25.4 mm exactly, international yard and pound agreement of 1959")]
    [InlineData(1.2, "1.2 mm (0.05 in)", "a fine suction end")]
    [InlineData(0, "0 mm (0.00 in)", "at the opening of the canal")]
    public void Length_reads_in_millimetres_and_inches(double millimetres, string text, string reason)
    {
        Assert.NotEmpty(reason);
        Assert.Equal(text, Units.Length((decimal)millimetres));
    }

    private static List<Term> Terms(Type holder) =>
        [.. holder.GetFields(BindingFlags.Public | BindingFlags.Static).Select(field => field.GetValue(null)).OfType<Term>()];

    /// <summary>J. Verhoeff, Error Detecting Decimal Codes (1969): dihedral group D5; SNOMED CT Release File Specification, check-digit.</summary>
    private static bool Verhoeff(string code)
    {
        var check = 0;
        for (var i = 0; i < code.Length; i++)
        {
            var digit = code[^(i + 1)] - '0';
            for (var times = i % 8; times > 0; times--)
            {
                digit = "1576283094"[digit] - '0';
            }

            check = Dihedral(check, digit);
        }

        return check == 0;
    }

    /// <summary>Multiplication in D5: 0 to 4 are rotations, 5 to 9 reflections.</summary>
    private static int Dihedral(int a, int b) => (a < 5, b < 5) switch
    {
        (true, true) => (a + b) % 5,
        (true, false) => 5 + ((a + (b - 5)) % 5),
        (false, true) => 5 + ((a - 5 - b + 5) % 5),
        (false, false) => (a - b + 5) % 5,
    };

    /// <summary>LOINC Users' Guide: odd places from the right doubled as one number, even places put in front, digits added.</summary>
    private static int Mod10(string number)
    {
        var fromRight = number.Reverse().ToArray();
        var odd = long.Parse(new string([.. fromRight.Where((_, index) => index % 2 == 0)]), CultureInfo.InvariantCulture) * 2;
        var even = new string([.. fromRight.Where((_, index) => index % 2 == 1)]);
        var sum = (even + odd.ToString(CultureInfo.InvariantCulture)).Sum(digit => digit - '0');
        return (10 - (sum % 10)) % 10;
    }
}
