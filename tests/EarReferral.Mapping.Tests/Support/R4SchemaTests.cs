using EarReferral.Encounters;
using Hl7.Fhir.Serialization;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>
/// What the published schema is worth as a check from outside: each kind of defect is put into a procedure as the mapping made
/// it, and must be caught. The last theory states what the schema cannot see, so that nobody relies on it for that.
/// </summary>
public sealed class R4SchemaTests
{
    private const string PatientReference = "<subject><reference value=\"Patient/";

    [Fact]
    public void Procedure_as_mapped_has_no_defect() => Assert.Empty(R4Schema.Problems(Procedure()));

    [Theory]
    [InlineData("<status value=\"completed\" />", "", "status is missing")]
    [InlineData("{subject}", "", "subject is missing")]
    [InlineData("value=\"completed\"", "value=\"finished\"", "code outside the required value set")]
    [InlineData("<status ", "<colour value=\"red\" /><status ", "unknown element")]
    [InlineData("{start}", "2026-02-30T09:30:00+01:00", "30 February")]
    [InlineData("{start}", "2026-03-31T09:30:00", "dateTime without offset")]
    [InlineData("{start}", "28/02/2024", "a date as people write it")]
    [InlineData("<performedPeriod>", "<performedDateTime value=\"2026-03-31\" /><performedPeriod>", "two performed[x]")]
    [InlineData("{order}", "", "elements in the wrong order")]
    [InlineData("<p>", "<script>alert(1)</script><p>", "script in the narrative")]
    [InlineData("<p>", "<p onclick=\"alert(1)\">", "event handler in the narrative")]
    public void Defect_is_caught(string place, string with, string defect) => Assert.True(R4Schema.Problems(With(place, with)).Count > 0, defect);

    [Theory]
    [InlineData("<p>Removal of wax</p>", "", "a narrative without words")]
    [InlineData("{subject}", "<subject><reference value=\"Organization/1\" /></subject>", "a reference to the wrong type")]
    [InlineData("<status value=\"completed\" />", "<status value=\"not-done\" />", "rules between elements")]
    public void Defect_is_not_seen_by_a_schema(string place, string with, string defect) => Assert.True(R4Schema.Problems(With(place, with)).Count == 0, defect);

    private static string Procedure()
    {
        var procedure = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right))).Procedures[EarSide.Right];
        procedure.Text = new Hl7.Fhir.Model.Narrative { Status = Hl7.Fhir.Model.Narrative.NarrativeStatus.Generated, Div = "<div xmlns=\"http://www.w3.org/1999/xhtml\"><p>Removal of wax</p></div>" };
        return new FhirXmlSerializer().SerializeToString(procedure);
    }

    private static string With(string place, string with)
    {
        var xml = Procedure();
        var subject = xml[xml.IndexOf(PatientReference, StringComparison.Ordinal)..(xml.IndexOf("</subject>", StringComparison.Ordinal) + "</subject>".Length)];
        var start = xml.IndexOf("<start value=\"", StringComparison.Ordinal) + "<start value=\"".Length;
        var (old, changed) = place switch
        {
            "{subject}" => (subject, with),
            "{start}" => ($"<start value=\"{xml[start..xml.IndexOf('"', start)]}\"", $"<start value=\"{with}\""),
            "{order}" => ("<status value=\"completed\" />" + xml[(xml.IndexOf("<status value=\"completed\" />", StringComparison.Ordinal) + "<status value=\"completed\" />".Length)..(xml.IndexOf(subject, StringComparison.Ordinal) + subject.Length)], subject + "<status value=\"completed\" />"),
            _ => (place, with),
        };
        var mutated = xml.Replace(old, changed, StringComparison.Ordinal);
        Assert.NotEqual(xml, mutated);
        return mutated;
    }
}
