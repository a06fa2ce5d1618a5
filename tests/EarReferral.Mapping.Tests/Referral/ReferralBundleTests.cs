using System.Text;
using EarReferral.Encounters;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class ReferralBundleTests
{
    [Fact]
    public void Same_encounter_gives_the_same_bytes()
    {
        Assert.Equal(ReferralBundle.Serialise(Build(Visit())), ReferralBundle.Serialise(Build(Visit())));
    }

    [Fact]
    public void Every_reference_points_into_the_bundle()
    {
        var bundle = Build(Visit());
        var urls = bundle.Entry.Select(entry => entry.FullUrl).ToHashSet(StringComparer.Ordinal);

        var references = bundle.Entry.SelectMany(entry => ReferenceClosure.References(entry.Resource!)).Select(reference => reference.Reference).OfType<string>().ToList();

        Assert.True(references.Count > 100);
        Assert.All(references, reference => Assert.Contains(reference, urls));
        Assert.Equal(bundle.Entry.Count, urls.Count);
    }

    [Fact]
    public void Every_entry_is_a_conditional_create_by_its_own_identifier()
    {
        // HL7 FHIR R4 http.html, transaction: fullUrl is a local handle, POST, ifNoneExist is the query part without question mark.
        Assert.All(Build(Visit()).Entry, entry =>
        {
            var id = entry.FullUrl!["urn:uuid:".Length..];
            Assert.Null(entry.Resource!.Id);
            Assert.Equal(Bundle.HTTPVerb.POST, entry.Request!.Method);
            Assert.Equal(entry.Resource.TypeName, entry.Request.Url);
            Assert.Equal($"identifier=https://ear-referral.example/identifier/resource|{id}", entry.Request.IfNoneExist);
            Assert.Contains(Identifiers(entry.Resource), identifier => identifier.System == "https://ear-referral.example/identifier/resource" && identifier.Value == id);
        });
    }

    [Fact]
    public void Provenance_stays_at_home_and_the_request_is_there_once()
    {
        var bundle = Build(Visit());

        Assert.DoesNotContain(bundle.Entry, entry => entry.Resource is Hl7.Fhir.Model.Provenance);
        Assert.Single(bundle.Entry, entry => entry.Resource is ServiceRequest);
        Assert.Single(bundle.Entry, entry => entry.Resource is Hl7.Fhir.Model.Task);
        Assert.Equal(2, bundle.Entry.Count(entry => entry.Resource is Procedure));
    }

    [Fact]
    public void Denied_answers_stay_in_the_record_and_the_last_look_travels_whole()
    {
        var visit = Visit();
        var sent = Build(visit).Entry.Select(entry => entry.Resource).OfType<Observation>().ToList();
        var codes = sent.ToLookup(observation => observation.Code!.Coding[0].Code, observation => observation);

        Assert.DoesNotContain("pain-present", codes.Select(group => group.Key));
        Assert.DoesNotContain("background-diabetes", codes.Select(group => group.Key));
        Assert.Contains("deposit", codes.Select(group => group.Key));
        Assert.Equal(2, codes["drum-perforation"].Count(observation => observation.Category[1].Coding[0].Code == "after")); // Absent, and it decides what may be done next.
        Assert.Contains(Visits.Record(visit).Observations, observation => observation.Code!.Coding[0].Code == "pain-present");
    }

    [Fact]
    public void Transaction_and_document_satisfy_the_published_schema()
    {
        var visit = Visit();
        var (record, referral, summary) = Parts(visit);

        Assert.Empty(R4Schema.Problems(ReferralBundle.Build(record, referral, summary)));
        Assert.Empty(R4Schema.Problems(DocumentBundle.Build(record, referral, summary)));
        Assert.Empty(R4Schema.Problems(ProvenanceMapper.Map(record, [.. referral.Resources, summary], new string('0', 64), visit.EvaluationInstant, 1, Visits.Identity)));
    }

    [Fact]
    public void Published_schema_refuses_a_broken_resource()
    {
        // Guards the check above: a schema that was not loaded would accept everything.
        Assert.NotEmpty(R4Schema.Problems(new Procedure { Subject = new ResourceReference("Patient/1") }));
    }

    [Theory]
    [InlineData("Zoé Wałęsa", "Latin letters with accents")]
    [InlineData("Ann 👂🏽 Bell", "characters outside the basic plane")]
    [InlineData("Tom <script>alert(1)</script> & Sons \"quoted\"", "markup")]
    [InlineData("ليلى حداد", "right-to-left letters")]
    public void Names_and_words_stay_intact_in_json_xml_and_narrative(string words, string reason)
    {
        Assert.NotEmpty(reason);
        var visit = Visit();
        visit = visit with
        {
            Patient = visit.Patient with { Name = new PersonName { Family = words } },
            ReasonForVisit = words,
            Expectation = words,
        };
        var bundle = Build(visit);

        var json = new FhirJsonDeserializer().Deserialize<Bundle>(Encoding.UTF8.GetString(ReferralBundle.Serialise(bundle)));
        var xml = new FhirXmlDeserializer().Deserialize<Bundle>(new FhirXmlSerializer().SerializeToString(bundle));

        Assert.Empty(R4Schema.Problems(bundle));
        Assert.All([json, xml], read =>
        {
            Assert.Equal(words, read.Entry.Select(entry => entry.Resource).OfType<Patient>().Single().Name[0].Family);
            var summary = read.Entry.Select(entry => entry.Resource).OfType<Composition>().Single();
            var narrative = System.Xml.Linq.XElement.Parse(summary.Section.Single(section => section.Title == "The patient").Text!.Div!);
            Assert.Contains($"Reason for the visit: {words}", narrative.Descendants().Select(element => element.Value));
            Assert.DoesNotContain(narrative.Descendants(), element => element.Name.LocalName == "script");
        });
    }

    [Fact]
    public void Control_character_in_the_narrative_is_replaced_and_the_letter_survives()
    {
        var visit = Visit() with { ReasonForVisit = "wax\u0007noise" };
        var summary = Parts(visit).Summary;

        Assert.Contains("wax\uFFFDnoise", summary.Section.Single(section => section.Title == "The patient").Text!.Div, StringComparison.Ordinal);
    }

    [Fact]
    public void Reference_that_leads_nowhere_is_an_error_of_the_mapping()
    {
        var (record, referral, summary) = Parts(Visit());
        referral.Request.SupportingInfo.Add(new ResourceReference("Observation/00000000-0000-0000-0000-000000000000"));

        Assert.Throws<InvalidOperationException>(() => ReferralBundle.Build(record, referral, summary));
    }

    private static ClinicEncounter Visit() => Visits.Of(Visits.Cleared(EarSide.Right), Visits.Cleared(EarSide.Left)) with
    {
        Images = [new ImageReference { Id = "img-1", Side = EarSide.Right, Moment = ImageMoment.Before, TakenAt = Visits.Start.AddMinutes(4), MediaType = "image/jpeg", Url = "https://images.harbour-lane.example/img-1", Sha256 = new string('c', 64) }],
    };

    private static (EncounterRecord Record, ReferralResources Referral, Composition Summary) Parts(ClinicEncounter visit)
    {
        var record = Visits.Record(visit);
        var decision = Decisions.Fired(visit, record, Tier.T1);
        var referral = ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent)!;
        return (record, referral, SummaryMapper.Map(visit, record, decision, referral, Visits.Identity));
    }

    private static Bundle Build(ClinicEncounter visit)
    {
        var (record, referral, summary) = Parts(visit);
        return ReferralBundle.Build(record, referral, summary);
    }

    private static List<Identifier> Identifiers(Resource resource) => resource switch
    {
        Composition composition => [composition.Identifier!],
        IIdentifiable<List<Identifier>> identified => identified.Identifier,
        _ => [],
    };
}
