using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Validation.Tests;

/// <summary>Whole bundles: the one that the mapping made, and mutations of it. bdl-, obs-, con-, inv-, prr-, org-, att- and cmp- are invariants of HL7 FHIR R4 4.0.1.</summary>
public sealed class ReferralValidatorTests
{
    private sealed record Mutation(string Id, string RuleId, Action<Bundle> Change);

    private static readonly Mutation[] Mutations =
    [
        new("B01 reference to a urn that is not in the bundle", "bundle-link", bundle => Judge.In<Procedure>(bundle).Encounter!.Reference = "urn:uuid:00000000-0000-4000-8000-000000000000"),
        new("B02 two entries with the same fullUrl", "bdl-7", bundle => bundle.Entry[1].FullUrl = bundle.Entry[0].FullUrl),
        new("B04 entry without request", "bdl-3", bundle => bundle.Entry[0].Request = null),
        new("B05 total in a transaction", "bdl-1", bundle => bundle.Total = 3),
        new("B06 procedure of another patient", "bundle-patient", SecondPatient),
        new("B07 value beside a reason for its absence", "obs-6", bundle => Judge.In<Observation>(bundle).DataAbsentReason = new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown")),
        new("B08 one procedure, two sites", "engine-1028", bundle => Judge.In<Procedure>(bundle).BodySite.Add((CodeableConcept)Judge.In<Procedure>(bundle).BodySite[0].DeepCopy())),
        new("B10 entered in error with a clinical status", "con-5", bundle => Judge.In<Condition>(bundle).VerificationStatus!.Coding[0].Code = "entered-in-error"),
        new("B11 task changed before it was written", "inv-1", bundle => Judge.In<Hl7.Fhir.Model.Task>(bundle).LastModified = "2020-01-01T00:00:00Z"),
        new("B12 order detail without code", "prr-1", bundle => (Judge.In<ServiceRequest>(bundle).Code, Judge.In<ServiceRequest>(bundle).OrderDetail) = (null, [new CodeableConcept { Text = "detail" }])),
        new("B13 organisation without name and identifier", "org-1", bundle => (Judge.In<Organization>(bundle).Name, Judge.In<Organization>(bundle).Identifier) = (null, [])),
        new("B14 attachment data without its type", "att-1", bundle => Judge.In<Patient>(bundle).Photo = [new Attachment { Data = [1, 2, 3] }]),
        new("B15 section with nothing in it", "cmp-1", bundle => Judge.In<Composition>(bundle).Section[0] = new Composition.SectionComponent { Title = "Empty" }),
        new("not a transaction", "bundle-transaction", bundle => bundle.Type = Bundle.BundleType.Batch),
        new("fullUrl in capitals", "bundle-fullurl", bundle => bundle.Entry[0].FullUrl = bundle.Entry[0].FullUrl!.ToUpperInvariant()),
        new("unconditional create", "bundle-conditional", bundle => bundle.Entry[0].Request!.IfNoneExist = null),
        new("conditional on the identifier of another resource", "bundle-conditional", bundle => bundle.Entry[0].Request!.IfNoneExist = bundle.Entry[1].Request!.IfNoneExist),
        new("update instead of create", "bundle-request", bundle => bundle.Entry[0].Request!.Method = Bundle.HTTPVerb.PUT),
        new("entry that claims no profile", "bundle-claim", bundle => Judge.In<Observation>(bundle).Meta = null),
        new("entry that claims an unknown profile", "bundle-claim", bundle => Judge.In<Observation>(bundle).Meta!.Profile = ["https://ear-referral.example/fhir/StructureDefinition/ear-nothing"]),
        new("contained resource", "bundle-claim", bundle => Judge.In<Observation>(bundle).Contained = [new Device { Id = "d" }]),
        new("subject leads to the clinic", "bundle-target", bundle => Judge.In<Procedure>(bundle).Subject = (ResourceReference)Judge.In<Encounter>(bundle).ServiceProvider!.DeepCopy()),
        new("finding of the other ear in a procedure", "bundle-side", bundle => Judge.In<Observation>(bundle, finding => finding.PartOf.Count > 0).BodySite = (CodeableConcept)Judge.In<Procedure>(bundle, procedure => procedure.BodySite[0].Text == "Left ear").BodySite[0].DeepCopy()),
        new("referral that leaves out the ear of its problem", "bundle-side", bundle => Judge.In<ServiceRequest>(bundle).BodySite = [(CodeableConcept)Judge.In<Procedure>(bundle, procedure => procedure.BodySite[0].Text == "Right ear").BodySite[0].DeepCopy()]),
        new("referral without a task", "bundle-task", bundle => bundle.Entry.RemoveAll(entry => entry.Resource is Hl7.Fhir.Model.Task)),
        new("extension that nobody defined", "engine-4000", bundle => Judge.In<Patient>(bundle).Extension.Add(new Extension("https://ear-referral.example/fhir/StructureDefinition/nothing", new FhirBoolean(true)))),
        new("finding code that is not on the list", "engine-6007", bundle => Judge.In<Observation>(bundle).Code = new CodeableConcept("https://ear-referral.example/fhir/CodeSystem/finding", "hearing-whatever")),
    ];

    public static TheoryData<string> Ids => [.. Mutations.Select(mutation => mutation.Id)];

    [Fact]
    public void BundleThatTheMappingMade_HasNoIssue() => Assert.Empty(Judge.Validator.Validate(Judge.Bundle()).Issues);

    public static TheoryData<string> AcceptedBundles => [.. Directory.EnumerateFiles(Repository.At("examples", "bundles"), "*.bundle.json").Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(AcceptedBundles))]
    public void AcceptedBundleOfAnExampleVisit_HasNoIssue(string file)
    {
        var bundle = (Bundle)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("examples", "bundles", file)));

        // A visit without a referral gives the summary document; both kinds of bundle are judged whole.
        Assert.Empty(Judge.Validator.Validate(bundle).Issues);
    }

    [Theory]
    [MemberData(nameof(Ids))]
    public void MutatedBundle_IsRefusedByTheRuleThatOwnsIt(string id)
    {
        var mutation = Mutations.Single(one => one.Id == id);
        var bundle = Judge.Bundle();
        mutation.Change(bundle);

        var report = Judge.Validator.Validate(bundle);

        Assert.False(report.IsValid);
        Assert.Contains(mutation.RuleId, report.Issues.Where(issue => issue.Severity == IssueSeverity.Error).Select(issue => issue.RuleId));
    }

    [Fact]
    public void IssueInAnEntry_IsLocatedInTheBundle()
    {
        var bundle = Judge.Bundle();
        var index = bundle.Entry.FindIndex(entry => entry.Resource is Procedure);
        ((Procedure)bundle.Entry[index].Resource!).BodySite[0].Text = "Left ear";

        Assert.Contains($"Bundle.entry[{index}].resource.bodySite[0]", Judge.Validator.Validate(bundle).Issues.Select(issue => issue.Location));
    }

    [Fact]
    public void ValueSetThatIsMissing_IsAnErrorAndNeverAPass()
    {
        var files = new[] { "pack", "code-systems", "value-sets" }
            .SelectMany(folder => Directory.EnumerateFiles(Repository.At("profiles", folder)))
            .Where(file => Path.GetFileName(file) != "ear-side.json")
            .Select(file => (file, File.ReadAllBytes(file)));
        var validator = new ReferralValidator(ProfileSet.Load(files));

        Assert.False(validator.Validate((Resource)Judge.First<Procedure>()).IsValid);
    }

    [Fact]
    public void RecordWithTypeAndIdReferences_IsJudgedByTheSameRules()
    {
        var patient = Judge.First<Patient>();
        patient.Id = "c8022eba-97c1-5299-b172-b9e5dd991b29";
        patient.ManagingOrganization = null;
        patient.GeneralPractitioner = [];
        Assert.Empty(Judge.Validator.Validate([patient]).Issues);

        patient.ManagingOrganization = new ResourceReference("Organization/nowhere");
        var issue = Assert.Single(Judge.Validator.Validate([patient]).Issues);
        Assert.Equal(("bundle-link", "Bundle.entry[0].resource.managingOrganization"), (issue.RuleId, issue.Location));
    }

    [Fact]
    public void ManyThreads_GetTheSameAnswer()
    {
        var errors = Enumerable.Range(0, 8).AsParallel().WithDegreeOfParallelism(4)
            .Select(_ => Judge.Validator.Validate(Judge.Bundle()).Issues.Count).ToList();
        Assert.All(errors, count => Assert.Equal(0, count));
    }

    private static void SecondPatient(Bundle bundle)
    {
        var other = (Bundle.EntryComponent)bundle.Entry.First(entry => entry.Resource is Patient).DeepCopy();
        other.FullUrl = "urn:uuid:00000000-0000-4000-8000-000000000001";
        bundle.Entry.Add(other);
        Judge.In<Procedure>(bundle).Subject!.Reference = other.FullUrl;
    }
}
