using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>Operations of HL7 FHIR R4 (Composition-document, Patient-everything, Encounter-everything), batch, history and the change feed.</summary>
public sealed class ReadOperationTests(RecordedVisits visits) : IClassFixture<RecordedVisits>
{
    [Fact]
    public async Task Everything_BringsAllOfThePatientAndTheOrigins()
    {
        var bundle = await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/$everything");

        var types = bundle.Entry.Select(entry => entry.Resource!.TypeName).ToHashSet();
        Assert.Equal(bundle.Total, bundle.Entry.Count);
        Assert.Superset(new HashSet<string> { "Patient", "Encounter", "Procedure", "Observation", "Composition", "DocumentReference", "Provenance", "Organization", "Practitioner", "PractitionerRole" }, types);
        var patients = bundle.Entry.Select(entry => entry.Resource).OfType<Patient>();
        Assert.Equal([visits.Patient], patients.Select(patient => patient.Id));
    }

    [Theory]
    [InlineData("_type=Procedure,Encounter", 3, "two ears and the visit")]
    [InlineData("_type=Procedure&start=2000&end=2001", 0, "no visit then")]
    [InlineData("_type=Patient&start=2000&end=2001", 1, "the patient belongs to every time")]
    [InlineData("_type=Procedure&start=2000", 2, "open at the end")]
    [InlineData("_type=Procedure&_since=2100-01-01T00:00:00Z", 0, "nothing is newer")]
    public async Task Everything_IsNarrowedByItsParameters(string query, int expected, string reason) =>
        Assert.True(expected == (await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/$everything?{query}")).Total, reason);

    [Fact]
    public async Task Everything_IsPagedWhenAsked()
    {
        var whole = await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/$everything");
        var met = new List<string>();
        for (var page = await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/$everything?_count=20"); ; page = await visits.SearchAsync(page.NextLink!.OriginalString))
        {
            Assert.InRange(page.Entry.Count, 1, 20);
            met.AddRange(page.Entry.Select(entry => entry.Resource!.Id!));
            if (page.NextLink is null)
            {
                break;
            }
        }

        Assert.Equal(whole.Entry.Select(entry => entry.Resource!.Id!), met);
    }

    [Theory]
    [InlineData("Patient/never/$everything", HttpStatusCode.NotFound)]
    [InlineData("Patient/{patient}/$everything?_type=Nonsense", HttpStatusCode.BadRequest)]
    [InlineData("Patient/{patient}/$everything?start=soon", HttpStatusCode.BadRequest)]
    [InlineData("Composition/never/$document", HttpStatusCode.NotFound)]
    [InlineData("Composition/never/$document?persist=true", HttpStatusCode.BadRequest)]
    public async Task OperationThatCannotBeAnswered_IsAnError(string address, HttpStatusCode expected) =>
        Assert.Equal(expected, (await visits.GetAsync($"/fhir/{address.Replace("{patient}", visits.Patient, StringComparison.Ordinal)}")).Status);

    [Fact]
    public async Task Operation_TakesItsParametersFromTheBodyToo()
    {
        using var body = new StringContent("""{"resourceType":"Parameters","parameter":[{"name":"_type","valueCode":"Procedure"}]}""", Encoding.UTF8, "application/fhir+json");
        using var answer = await visits.SendAsync($"/fhir/Patient/{visits.Patient}/$everything", HttpMethod.Post, body);

        Assert.Equal(2, ((Bundle)await RecordedVisits.ReadAsync(answer)).Total);
    }

    [Fact]
    public async Task VisitsEverything_BringsTheVisitAndItsPatient()
    {
        var encounter = (await visits.SearchAsync($"/fhir/Encounter?patient={visits.Patient}")).Entry.Single().Resource!.Id;

        var bundle = await visits.SearchAsync($"/fhir/Encounter/{encounter}/$everything?_type=Encounter,Patient,Procedure");

        Assert.Equal(["Encounter", "Patient", "Procedure", "Procedure"], bundle.Entry.Select(entry => entry.Resource!.TypeName).Order());
    }

    /// <summary>A document consumer knows DocumentReference only: R4 says that an attachment's relative address is read as a reference is.</summary>
    [Fact]
    public async Task DocumentConsumer_FindsTheSummaryAndFetchesIt()
    {
        var listing = (DocumentReference)(await visits.SearchAsync($"/fhir/DocumentReference?patient={visits.Patient}&status=current&type=http%3A%2F%2Floinc.org%7C&contenttype=application/fhir%2Bjson")).Entry.Single().Resource!;

        var document = await visits.SearchAsync($"/fhir/{listing.Content[0].Attachment!.Url}");

        Assert.Equal(Bundle.BundleType.Document, document.Type);
        var summary = Assert.IsType<Composition>(document.Entry[0].Resource);
        Assert.Equal((listing.MasterIdentifier!.Value, listing.DocStatus), (document.Identifier!.Value, summary.Status));
        Assert.True(listing.Type!.IsExactly(summary.Type!));
        Assert.Single((await visits.SearchAsync($"/fhir/DocumentReference?related={listing.Context!.Related.Single().Reference}")).Entry);
    }

    [Fact]
    public async Task Batch_AnswersEachEntryInItsOrder()
    {
        var batch = new Bundle { Type = Bundle.BundleType.Batch };
        foreach (var (method, url) in new[] { (Bundle.HTTPVerb.GET, $"Patient/{visits.Patient}"), (Bundle.HTTPVerb.GET, $"Procedure?patient={visits.Patient}&_summary=count"), (Bundle.HTTPVerb.GET, "Procedure/never"), (Bundle.HTTPVerb.DELETE, $"Patient/{visits.Patient}"), (Bundle.HTTPVerb.GET, "/metadata") })
        {
            batch.Entry.Add(new Bundle.EntryComponent { Request = new Bundle.RequestComponent { Method = method, Url = url } });
        }

        batch.Entry.Add(new Bundle.EntryComponent { Request = new Bundle.RequestComponent { Method = Bundle.HTTPVerb.GET, Url = $"Patient/{visits.Patient}", IfNoneMatch = "W/\"1\"" } });
        using var body = new StringContent(new FhirJsonSerializer().SerializeToString(batch), Encoding.UTF8, "application/fhir+json");
        using var answer = await visits.SendAsync("/fhir", HttpMethod.Post, body);
        var response = (Bundle)await RecordedVisits.ReadAsync(answer);

        Assert.Equal(Bundle.BundleType.BatchResponse, response.Type);
        Assert.Equal(["200", "200", "404", "405", "200", "304"], response.Entry.Select(entry => entry.Response!.Status));
        Assert.Equal("W/\"1\"", response.Entry[0].Response!.Etag);
        Assert.Equal(2, ((Bundle)response.Entry[1].Resource!).Total);
        Assert.NotNull(response.Entry[2].Response!.Outcome);
        Assert.Null(response.Entry[5].Resource);
    }

    [Theory]
    [InlineData("transaction")]
    [InlineData("document")]
    public async Task OtherBundles_AreRefused(string type)
    {
        using var body = new StringContent($$"""{"resourceType":"Bundle","type":"{{type}}"}""", Encoding.UTF8, "application/fhir+json");
        using var answer = await visits.SendAsync("/fhir", HttpMethod.Post, body);

        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    /// <summary>G17, and the change feed: who pulled the first version sees by _lastUpdated, status and history that it was amended and then taken back.</summary>
    [Fact]
    public async Task ChangedSummary_IsSeenByPollingHistoryAndVersionRead()
    {
        var document = RecordedVisits.Example("06-");
        document["encounterId"] = "change-feed";
        var receipt = await visits.PostAsync(document);
        var summary = ((string)receipt["summary"]!)[..^"/$document".Length];
        summary = summary[summary.IndexOf("/fhir/", StringComparison.Ordinal)..];
        var first = (Composition)(await visits.GetAsync(summary)).Answer;
        Assert.Equal(("1", CompositionStatus.Final), (first.Meta!.VersionId, first.Status));
        var polled = first.Meta.LastUpdated!.Value;

        document["revision"] = 2;
        document["reasonForVisit"] = "Corrected";
        document["supersedes"] = JsonNode.Parse("""{"revision":1,"reason":"Reason was noted wrongly","person":"Morwenna Tal"}""");
        await ChangeAsync(HttpMethod.Put, (string)receipt["encounter"]!, document.ToJsonString());

        var amended = Assert.Single(await PollAsync(polled), found => found.Id == first.Id);
        Assert.Equal(("2", CompositionStatus.Amended), (amended.Meta!.VersionId, amended.Status));

        await ChangeAsync(HttpMethod.Post, (string)receipt["encounter"]! + "/retraction", """{"reason":"wrongPatient","person":"Morwenna Tal","text":"Another patient was in the chair."}""", "\"2\"");

        var wrong = Assert.Single(await PollAsync(amended.Meta.LastUpdated!.Value), found => found.Id == first.Id);
        Assert.Equal(("3", CompositionStatus.EnteredInError), (wrong.Meta!.VersionId, wrong.Status));
        var listing = (DocumentReference)(await visits.SearchAsync($"/fhir/DocumentReference?related=Composition/{first.Id}")).Entry.Single().Resource!;
        Assert.Equal((DocumentReferenceStatus.EnteredInError, CompositionStatus.EnteredInError), (listing.Status, listing.DocStatus));

        using var versionRead = await visits.SendAsync($"{summary}/_history/1");
        Assert.Equal("W/\"1\"", versionRead.Headers.ETag!.ToString());
        Assert.True(first.IsExactly(await RecordedVisits.ReadAsync(versionRead)));

        var history = await visits.SearchAsync($"{summary}/_history");
        Assert.Equal((Bundle.BundleType.History, 3), (history.Type, history.Total));
        Assert.Equal(["3", "2", "1"], history.Entry.Select(entry => entry.Resource!.Meta!.VersionId!));
        Assert.Equal(["W/\"3\"", "W/\"2\"", "W/\"1\""], history.Entry.Select(entry => entry.Response!.Etag));
        Assert.Equal([Bundle.HTTPVerb.PUT, Bundle.HTTPVerb.PUT, Bundle.HTTPVerb.POST], history.Entry.Select(entry => entry.Request!.Method!.Value));

        var page = await visits.SearchAsync($"{summary}/_history?_count=2");
        Assert.Equal(["1"], (await visits.SearchAsync(page.NextLink!.OriginalString)).Entry.Select(entry => entry.Resource!.Meta!.VersionId!));
        var at = Uri.EscapeDataString(polled.ToString("yyyy-MM-dd'T'HH:mm:ss.fffK", null));
        Assert.Contains("1", (await visits.SearchAsync($"{summary}/_history?_at={at}")).Entry.Select(entry => entry.Resource!.Meta!.VersionId!));
        Assert.Equal(HttpStatusCode.BadRequest, (await visits.GetAsync($"{summary}/_history?_since=2024&_since=2025")).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await visits.GetAsync($"{summary}/_history/4")).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await visits.GetAsync("/fhir/Composition/never/_history")).Status);
    }

    private async Task<List<Composition>> PollAsync(DateTimeOffset since) =>
        [.. (await visits.SearchAsync($"/fhir/Composition?_lastUpdated=ge{Uri.EscapeDataString(since.ToString("yyyy-MM-dd'T'HH:mm:ss.fffK", null))}&_count=200")).Entry.Select(entry => entry.Resource).OfType<Composition>()];

    private async Task ChangeAsync(HttpMethod method, string address, string body, string version = "\"1\"")
    {
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using var answer = await visits.SendAsync(address, method, content, ("If-Match", version));
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
    }
}
