using System.Net;
using System.Net.Http.Headers;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>HL7 FHIR R4, operation Resource-validate: "The returned http status code is 200 whether or not the resource is valid", and a 4xx only when nothing could be validated.</summary>
public sealed class ValidateOperationTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private const string Documents = "06-clear-ears-nothing-to-do.bundle.json";
    private const string Transactions = "09-sudden-loss-12-days.bundle.json";

    public static TheoryData<string> Bundles => [Documents, Transactions];

    [Theory]
    [MemberData(nameof(Bundles))]
    public async System.Threading.Tasks.Task AcceptedBundle_IsSaidToBeValid(string file)
    {
        var (status, outcome) = await PostAsync("Bundle", Bundle(file));

        Assert.Equal(HttpStatusCode.OK, status);
        var issue = Assert.Single(outcome.Issue);
        Assert.Equal((OperationOutcome.IssueSeverity.Information, "Bundle"), (issue.Severity!.Value, issue.Expression.Single()));
    }

    [Theory]
    [MemberData(nameof(Bundles))]
    public async System.Threading.Tasks.Task BundleWithABrokenEntry_Answers200AndNamesThePlace(string file)
    {
        var bundle = Bundle(file);
        var index = bundle.Entry.FindIndex(entry => entry.Resource is Observation { Value: not null });
        ((Observation)bundle.Entry[index].Resource!).Value = null;

        var (status, outcome) = await PostAsync("Bundle", bundle);

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Contains(outcome.Issue, issue => issue.Severity == OperationOutcome.IssueSeverity.Error && issue.Diagnostics == "ear-obs-1" && issue.Expression.Single() == $"Bundle.entry[{index}].resource");
        Assert.All(outcome.Issue, issue => Assert.Single(issue.Expression));
    }

    [Fact]
    public async System.Threading.Tasks.Task DocumentWithoutComposition_BreaksTheRuleOfTheBundle()
    {
        var bundle = Bundle(Documents);
        bundle.Entry.RemoveAt(0);

        Assert.Contains((await PostAsync("Bundle", bundle)).Outcome.Issue, issue => issue.Diagnostics == "bdl-11");
    }

    [Fact]
    public async System.Threading.Tasks.Task Resource_IsJudgedByTheProfileItClaims_AndByAnotherWhenOneIsNamed()
    {
        var patient = Bundle(Documents).Entry.Select(entry => entry.Resource).OfType<Patient>().Single();
        Assert.DoesNotContain((await PostAsync("Patient", patient)).Outcome.Issue, IsError);

        patient.Meta = null;
        Assert.Contains((await PostAsync("Patient", patient)).Outcome.Issue, issue => issue.Diagnostics == "bundle-claim");

        var named = new Parameters();
        named.Add("resource", patient);
        named.Add("profile", new FhirUri("https://ear-referral.example/fhir/StructureDefinition/ear-patient"));
        Assert.DoesNotContain((await PostAsync("Patient", named)).Outcome.Issue, IsError);

        named.Parameter[1].Value = new FhirUri("https://ear-referral.example/fhir/StructureDefinition/nothing");
        var (status, outcome) = await PostAsync("Patient", named);
        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Contains(outcome.Issue, issue => IsError(issue) && issue.Details!.Text!.Contains("could not be checked", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("Patient", "{", "application/fhir+json", HttpStatusCode.BadRequest, "broken JSON")]
    [InlineData("Patient", "{\"a\":1}", "application/fhir+json", HttpStatusCode.BadRequest, "JSON that is no resource")]
    [InlineData("Patient", "<Patient", "application/fhir+xml", HttpStatusCode.BadRequest, "broken XML")]
    [InlineData("Patient", "<!DOCTYPE p [<!ENTITY e SYSTEM \"file:///x\">]><Patient xmlns=\"http://hl7.org/fhir\"/>", "application/fhir+xml", HttpStatusCode.BadRequest, "XML with a document type")]
    [InlineData("Patient", "{\"resourceType\":\"Procedure\"}", "application/fhir+json", HttpStatusCode.BadRequest, "other type than the address")]
    [InlineData("Patient", "{\"resourceType\":\"Parameters\"}", "application/fhir+json", HttpStatusCode.BadRequest, "no resource among the parameters")]
    [InlineData("Patient", "x", "text/plain", HttpStatusCode.UnsupportedMediaType, "neither JSON nor XML")]
    [InlineData("Patient", "{\"resourceType\":\"Patient\",\"gender\":\"purple\",\"colour\":1}", "application/fhir+json", HttpStatusCode.OK, "readable and wrong is an answer, not a refusal")]
    [InlineData("Patient", "<Patient xmlns=\"http://hl7.org/fhir\"><gender value=\"female\"/></Patient>", "application/fhir+xml", HttpStatusCode.OK, "readable, claims no profile")]
    [InlineData("Bundle", "{\"resourceType\":\"Bundle\",\"type\":\"collection\"}", "application/fhir+json", HttpStatusCode.OK, "a kind of bundle that has no rules here could not be checked")]
    [InlineData("Nothing", "{}", "application/fhir+json", HttpStatusCode.NotFound, "R4 has no such type")]
    public async System.Threading.Tasks.Task BodyThatIsNotValid_AlwaysHasAnErrorWithItsPlace(string type, string body, string mediaType, HttpStatusCode expected, string why)
    {
        var (status, outcome) = await PostAsync(type, body, mediaType);

        Assert.True(expected == status, why);
        Assert.Contains(outcome.Issue, IsError);
    }

    private static bool IsError(OperationOutcome.IssueComponent issue) => issue.Severity is OperationOutcome.IssueSeverity.Error;

    private static Bundle Bundle(string file) => (Bundle)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("examples", "bundles", file)));

    private Task<(HttpStatusCode Status, OperationOutcome Outcome)> PostAsync(string type, Resource body) => PostAsync(type, new FhirJsonSerializer().SerializeToString(body), "application/fhir+json");

    private async Task<(HttpStatusCode Status, OperationOutcome Outcome)> PostAsync(string type, string body, string mediaType)
    {
        // The validator warms up in the background for longer than one request is willing to wait.
        for (var tries = 0; ; tries++)
        {
            using var content = new StringContent(body, new MediaTypeHeaderValue(mediaType));
            using var answer = await gateway.Client.PostAsync(new Uri($"/fhir/{type}/$validate", UriKind.Relative), content, TestContext.Current.CancellationToken);
            if (answer.StatusCode != HttpStatusCode.ServiceUnavailable || tries == 20)
            {
                return (answer.StatusCode, (OperationOutcome)new FhirJsonDeserializer().DeserializeResource(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)));
            }
        }
    }
}
