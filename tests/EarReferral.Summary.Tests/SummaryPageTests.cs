using System.Xml;
using System.Xml.Linq;
using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;
using EarReferral.Summary.Pages;
using EarReferral.Summary.Sheets;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Summary.Tests;

public sealed class SummaryPageTests
{
    private static readonly XNamespace Html = "http://www.w3.org/1999/xhtml";

    public static TheoryData<string> Bundles() => ExampleDocument.Files();

    [Theory]
    [MemberData(nameof(Bundles))]
    public void EveryExample_GivesAPageThatStandsAloneAndBeginsWithTheAction(string file)
    {
        var page = Parse(SummaryPage.Render(Document(file)));

        Assert.Contains(page.Descendants(Html + "dd"), fact => fact.Value.StartsWith("Harbour Lane Ear Care", StringComparison.Ordinal));
        Assert.Equal("Action and urgency", page.Descendants(Html + "h2").First().Value);
        Assert.DoesNotContain(page.Descendants(), element => element.Name.LocalName is "script" or "link" or "img" or "iframe" or "object");
        Assert.DoesNotContain(page.Descendants().Attributes(), attribute => attribute.Name.LocalName is "src" or "href" or "style" || attribute.Name.LocalName.StartsWith("on", StringComparison.Ordinal));
        var ids = page.Descendants().Attributes("id").Select(attribute => attribute.Value).ToList();
        Assert.Distinct(ids);
        Assert.All(page.Descendants().Attributes("aria-labelledby").SelectMany(attribute => attribute.Value.Split(' ')), id => Assert.Contains(id, ids));
    }

    /// <summary>What is placed in the bundle is numbered in the picture of its side and moment, and nothing else is: read here from the JSON by another way than the page reads it.</summary>
    [Theory]
    [MemberData(nameof(Bundles))]
    public void Pictures_NumberExactlyThePlacedFindingsOfTheBundle(string file)
    {
        var document = Document(file);
        var page = Parse(SummaryPage.Render(document));
        foreach (var (side, code) in new[] { ("Right", "25577004"), ("Left", "89644007") })
        {
            foreach (var moment in new[] { "Before", "After" })
            {
                var placed = document.Entry.Select(entry => entry.Resource).OfType<Observation>().Count(observation =>
                    observation.BodySite?.Coding.Exists(coding => coding.Code == code) == true
                    && observation.Category.SelectMany(category => category.Coding).Any(coding => string.Equals(coding.Code, moment, StringComparison.OrdinalIgnoreCase))
                    && observation.Component.Exists(component => component.Code!.Coding.Exists(coding => coding.Code == "location-part"))
                    && observation.Code!.Coding.Exists(coding => coding.Code is not "procedure-step"));
                var svg = page.Descendants(Svg.Namespace + "svg").SingleOrDefault(element => element.Attribute("aria-labelledby")!.Value.StartsWith($"{side}-{moment}-", StringComparison.Ordinal));
                var lines = svg?.Parent!.Descendants(Html + "li").Count(line => char.IsAsciiDigit(line.Value[0])) ?? 0;

                Assert.Equal(placed, lines);
                Assert.Equal(placed, svg?.Elements(Svg.Namespace + "text").Where(text => text.Attribute("class")!.Value == "number").Select(text => text.Value).Distinct().Count() ?? 0);
            }
        }
    }

    [Fact]
    public void HostileWords_StayWordsAndTheRestStaysReadable()
    {
        var document = Document("16-deaf-patient-perforation.bundle.json");
        var patient = document.Entry.Select(entry => entry.Resource).OfType<Patient>().Single();
        patient.Name[0].Family = "<script>alert(1)</script>\u202Eעברית\u0007👂" + new string('x', 10_000);

        var text = SummaryPage.Render(document);
        var page = Parse(text);

        Assert.DoesNotContain("<script", text, StringComparison.Ordinal);
        Assert.Contains(page.Descendants(Html + "bdi"), name => name.Value.Contains("<script>alert(1)</script>", StringComparison.Ordinal) && name.Value.Contains('\uFFFD', StringComparison.Ordinal) && name.Value.Contains("👂", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(CompositionStatus.EnteredInError, "Entered in error. Do not act on this summary; ask the clinic.")]
    [InlineData(CompositionStatus.Amended, "Amended. This version takes the place of an earlier one.")]
    public void SummaryThatNoLongerStands_SaysSoBeforeAnythingElse(CompositionStatus status, string words)
    {
        var document = Document("01-soft-wax-both-ears.bundle.json");
        ((Composition)document.Entry[0].Resource!).Status = status;

        Assert.Equal(words, Parse(SummaryPage.Render(document)).Descendants(Html + "main").Single().Elements().First().Value);
    }

    [Fact]
    public void UnverifiedNumber_IsMarkedAndAMissingOneNeverInvented()
    {
        var document = Document("01-soft-wax-both-ears.bundle.json");
        var patient = document.Entry.Select(entry => entry.Resource).OfType<Patient>().Single();
        var number = patient.Identifier.Single(identifier => identifier.System == "https://fhir.nhs.uk/Id/nhs-number");
        Assert.DoesNotContain("(not verified)", SummaryPage.Render(document), StringComparison.Ordinal);
        number.Extension.Clear();
        Assert.Contains("(not verified)", SummaryPage.Render(document), StringComparison.Ordinal);

        patient.Identifier.Remove(number);
        Assert.Contains("<dd><bdi>not known</bdi></dd>", SummaryPage.Render(document), StringComparison.Ordinal);
    }

    [Fact]
    public void StyleSheet_IsTheOneThatTheSecurityPolicyNames()
    {
        var style = Parse(SummaryPage.Render(Document("01-soft-wax-both-ears.bundle.json"))).Descendants(Html + "style").Single().Value;
        var hash = Convert.ToBase64String(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(style)));

        Assert.Contains($"'sha256-{hash}'", HtmlPage.ContentSecurityPolicy, StringComparison.Ordinal);
        Assert.DoesNotContain(style, character => character is '<' or '>' or '&');
    }

    [Fact]
    public void Places_AreThoseOfThePublishedLists()
    {
        foreach (var (list, known) in new[]
        {
            ("ear-part", new Func<string, EarPlace>(code => new EarPlace(code, null, null, code))),
            ("canal-wall", code => new EarPlace("canal-bony-part", code, null, code)),
            ("drum-quadrant", code => new EarPlace("on-drum", null, code, code)),
        })
        {
            var system = (CodeSystem)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("profiles", "code-systems", $"{list}.json")));
            Assert.All(system.Concept, concept => Assert.Contains(EarDrawing.Of(new EarView(EarSide.Right, ExaminationMoment.Before, true, DrumView.Fully, null, [new EarFinding(FindingKind.Deposit, "wax", known(concept.Code!))])).Shapes, shape => shape.Ink is Ink.Mark));
        }
    }

    private static Bundle Document(string file) => ExampleDocument.Read(file);

    private static XElement Parse(string page)
    {
        using var reader = XmlReader.Create(new StringReader(page), new XmlReaderSettings { DtdProcessing = DtdProcessing.Ignore });
        return XElement.Load(reader);
    }
}
