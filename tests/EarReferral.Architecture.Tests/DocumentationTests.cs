using System.Reflection;
using System.Xml.Linq;

namespace EarReferral.Architecture.Tests;

public sealed class DocumentationTests
{
    public static TheoryData<string> CoreAssemblies() =>
        ["EarReferral.Encounters", "EarReferral.Triage", "EarReferral.Mapping", "EarReferral.Referrals", "EarReferral.Validation"];

    [Theory]
    [MemberData(nameof(CoreAssemblies))]
    public void PublicTypeOfTheCore_IsDocumented(string assemblyName)
    {
        var documented = XDocument.Load(Path.Combine(AppContext.BaseDirectory, assemblyName + ".xml"))
            .Descendants("member").Select(member => member.Attribute("name")!.Value).ToHashSet();

        var undocumented = Assembly.Load(assemblyName).GetExportedTypes()
            .Where(type => !documented.Contains("T:" + type.FullName!.Replace('+', '.')));

        Assert.Empty(undocumented);
    }

    [Theory]
    [MemberData(nameof(CoreAssemblies))]
    public void PublicClassOfTheCore_IsSealedStaticOrAClosedUnion(string assemblyName)
    {
        var open = Assembly.Load(assemblyName).GetExportedTypes()
            .Where(type => type.IsClass && !type.IsSealed && !type.IsAbstract);

        Assert.Empty(open);
    }
}
