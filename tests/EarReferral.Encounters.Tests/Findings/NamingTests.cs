using EarReferral.Encounters.Findings;

namespace EarReferral.Encounters.Tests.Findings;

public sealed class NamingTests
{
    [Theory]
    [InlineData("PartlyBlocked", "partly-blocked")]
    [InlineData("Other", "other")]
    [InlineData("TimesADay", "times-a-day")]
    [InlineData("FamilyOriginChineseOrSouthEastAsian", "family-origin-chinese-or-south-east-asian")]
    [InlineData("MmHg", "mm-hg")]
    [InlineData("ElectronicIrrigation", "electronic-irrigation")]
    public void Pascal_case_becomes_kebab_case(string pascal, string kebab) => Assert.Equal(kebab, Naming.Kebab(pascal));

    [Fact]
    public void An_enum_names_its_list_and_its_codes()
    {
        Assert.Equal("hearing-change", Naming.List<HearingChange>());
        Assert.Equal("sudden", Naming.Code(HearingChange.Sudden));
    }
}
