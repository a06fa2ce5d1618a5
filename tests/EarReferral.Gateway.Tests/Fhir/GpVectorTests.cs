using System.Net;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>
/// What a GP's system may rely on, by HL7 FHIR R4 (hl7.org/fhir/R4/http.html, search.html, bundle.html). Each test is named by its
/// vector G01 to G24. G08, G19 and G23 are not assigned; G18 needs another caller's reach and is held in the tests of the store. The
/// first half of G16 has nothing to test: nothing that was served is ever deleted, what was wrong stays readable as entered-in-error.
/// </summary>
public sealed class GpVectorTests(RecordedVisits visits) : IClassFixture<RecordedVisits>
{
    private string Search => $"/fhir/Procedure?patient={visits.Patient}";

    private string ByNumber => Uri.EscapeDataString($"{RecordedVisits.NhsNumbers}|{visits.NhsNumber}");

    [Fact]
    public async Task G01_ProceduresOfThePatient_AreTwoMatchesWithASelfLink()
    {
        var bundle = await visits.SearchAsync(Search);

        Assert.Equal((Bundle.BundleType.Searchset, 2, 2), (bundle.Type, bundle.Total, bundle.Entry.Count));
        Assert.All(bundle.Entry, entry => Assert.Equal(Bundle.SearchEntryMode.Match, entry.Search!.Mode));
        Assert.All(bundle.Entry, entry => Assert.EndsWith($"/fhir/Procedure/{entry.Resource!.Id}", entry.FullUrl, StringComparison.Ordinal));
        Assert.EndsWith(Search, bundle.SelfLink!.OriginalString, StringComparison.Ordinal);
        Assert.Null(bundle.NextLink);
    }

    [Fact]
    public async Task G02_SearchByPost_FindsTheSameAndItsSelfLinkIsAnAddress()
    {
        using var form = new FormUrlEncodedContent([KeyValuePair.Create("patient.identifier", $"{RecordedVisits.NhsNumbers}|{visits.NhsNumber}")]);
        using var answer = await visits.SendAsync("/fhir/Procedure/_search", HttpMethod.Post, form);
        var posted = (Bundle)await RecordedVisits.ReadAsync(answer);

        Assert.Equal(Ids(await visits.SearchAsync(Search)), Ids(posted));
        Assert.EndsWith($"/fhir/Procedure?patient.identifier={ByNumber}", posted.SelfLink!.OriginalString, StringComparison.Ordinal);
    }

    [Fact]
    public async Task G02_ParametersInAddressAndBody_AreTakenTogether()
    {
        using var form = new FormUrlEncodedContent([KeyValuePair.Create("status", "not-done")]);
        using var answer = await visits.SendAsync($"/fhir/Procedure/_search?patient={visits.Patient}", HttpMethod.Post, form);

        Assert.Equal(0, ((Bundle)await RecordedVisits.ReadAsync(answer)).Total);
    }

    [Fact]
    public async Task G03_UnknownParameter_IsNamedInAnOutcomeOrRefusedWhenStrict()
    {
        var lenient = await visits.SearchAsync($"{Search}&foo=1", ("Prefer", "handling=lenient"));
        Assert.Equal(2, lenient.Total);
        Assert.DoesNotContain("foo", lenient.SelfLink!.OriginalString, StringComparison.Ordinal);
        var outcome = Assert.Single(lenient.Entry, entry => entry.Search!.Mode == Bundle.SearchEntryMode.Outcome);
        Assert.All(((OperationOutcome)outcome.Resource!).Issue, issue => Assert.Equal(OperationOutcome.IssueSeverity.Warning, issue.Severity));

        Assert.Equal(HttpStatusCode.BadRequest, (await visits.GetAsync($"{Search}&foo=1", ("Prefer", "handling=strict"))).Status);
    }

    [Theory]
    [InlineData("G04", "patient:foo=x", OperationOutcome.IssueType.NotSupported, "an unknown modifier would widen the answer")]
    [InlineData("G05", "patient=P1&date=2024-13-01", OperationOutcome.IssueType.Value, "no such month")]
    [InlineData("G21", "patient=P1&date=2024-03-10T09:15:00+01:00", OperationOutcome.IssueType.Value, "a plus sign that arrives as a space")]
    [InlineData("G24", "status=completed", OperationOutcome.IssueType.TooCostly, "nothing narrows it")]
    [InlineData("sort", "patient=P1&_sort=status", OperationOutcome.IssueType.NotSupported, "no such order")]
    [InlineData("summary", "patient=P1&_summary=much", OperationOutcome.IssueType.Value, "no such summary")]
    [InlineData("cursor", "_cursor=AAAA", OperationOutcome.IssueType.Value, "no page of ours")]
    public async Task WrongSearch_IsRefusedWithTheReason(string vector, string query, OperationOutcome.IssueType code, string reason)
    {
        var (status, answer) = await visits.GetAsync($"/fhir/Procedure?{query}");

        Assert.True(status == HttpStatusCode.BadRequest, $"{vector}: {reason}");
        Assert.Equal((OperationOutcome.IssueSeverity.Error, code), ((OperationOutcome)answer).Issue.Select(issue => (issue.Severity!.Value, issue.Code!.Value)).Single());
    }

    [Fact]
    public async Task G06_UnknownPatient_IsAnEmptyAnswerWithoutEntries()
    {
        using var answer = await visits.SendAsync("/fhir/Procedure?patient=UNKNOWN");

        Assert.DoesNotContain("\"entry\"", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Equal(0, ((Bundle)await RecordedVisits.ReadAsync(answer)).Total);
    }

    [Fact]
    public async Task G07_Pages_LeadThroughEveryMatchOnceAndTheirLinksNameNobody()
    {
        var met = new List<string>();
        var (pages, address) = (0, $"/fhir/Procedure?patient.identifier={ByNumber}&_count=1&_include=Procedure:encounter&_elements=code");
        while (address is not null && pages < 9)
        {
            var page = await visits.SearchAsync(address);
            pages++;
            Assert.Equal(2, page.Total);
            Assert.Single(page.Entry, entry => entry.Search!.Mode == Bundle.SearchEntryMode.Include);
            Assert.Null(page.Entry.Select(entry => entry.Resource).OfType<Procedure>().Single().Performed);
            met.AddRange(Ids(page, Bundle.SearchEntryMode.Match));
            address = page.NextLink?.OriginalString;
            Assert.DoesNotContain(visits.NhsNumber, address ?? "", StringComparison.Ordinal);
            Assert.DoesNotContain("patient", address ?? "", StringComparison.Ordinal);
        }

        Assert.Equal((2, 2), (pages, met.Distinct().Count()));
    }

    [Fact]
    public async Task G09_IncludedVisit_IsThereOnceAndNotCounted()
    {
        var bundle = await visits.SearchAsync($"{Search}&_include=Procedure:encounter");

        Assert.Equal(2, bundle.Total);
        Assert.IsType<Encounter>(Assert.Single(bundle.Entry, entry => entry.Search!.Mode == Bundle.SearchEntryMode.Include).Resource);
    }

    [Fact]
    public async Task G09_Origins_ComeAlongAgainstTheirDirection()
    {
        var bundle = await visits.SearchAsync($"{Search}&_revinclude=Provenance:target");

        Assert.Equal(2, bundle.Total);
        Assert.Contains(bundle.Entry, entry => entry is { Resource: Provenance, Search.Mode: Bundle.SearchEntryMode.Include });
    }

    [Fact]
    public async Task G10_SummaryCount_IsTheTotalAlone()
    {
        var bundle = await visits.SearchAsync($"{Search}&_summary=count");

        Assert.Equal((2, 0), (bundle.Total, bundle.Entry.Count));
        Assert.Contains("_summary=count", bundle.SelfLink!.OriginalString, StringComparison.Ordinal);
    }

    [Fact]
    public async Task G11_Elements_KeepMandatoryAndModifierElementsAndAreMarked()
    {
        var procedure = (Procedure)(await visits.SearchAsync($"{Search}&_elements=code")).Entry[0].Resource!;

        Assert.NotNull(procedure.Status);
        Assert.NotNull(procedure.Subject);
        Assert.NotNull(procedure.Code);
        Assert.Null(procedure.Performed);
        Assert.Null(procedure.Text);
        Assert.Empty(procedure.BodySite);
        Assert.Contains(procedure.Meta!.Tag, tag => tag.Code == "SUBSETTED");
    }

    [Theory]
    [InlineData("true", false, true)]
    [InlineData("text", true, false)]
    [InlineData("data", false, true)]
    [InlineData("false", true, true)]
    public async Task Summary_OnARead_LeavesOutWhatR4Says(string summary, bool withText, bool withDate)
    {
        var id = (await FirstAsync()).Id;

        var (status, answer) = await visits.GetAsync($"/fhir/Procedure/{id}?_summary={summary}", ("Accept", "application/fhir+xml"));

        var procedure = (Procedure)answer;
        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal((withText, withDate), (procedure.Text is not null, procedure.Performed is not null));
        Assert.Equal(summary != "false", procedure.Meta!.Tag.Exists(tag => tag.Code == "SUBSETTED"));
    }

    [Fact]
    public async Task G12_ConditionalRead_Answers304WithoutBodyOnlyForTheCurrentVersion()
    {
        var address = $"/fhir/Procedure/{(await FirstAsync()).Id}";
        using var read = await visits.SendAsync(address);
        var (tag, time) = (read.Headers.ETag!.ToString(), read.Content.Headers.LastModified!.Value);
        Assert.Equal("W/\"1\"", tag);

        foreach (var (name, value, expected) in new[]
        {
            ("If-None-Match", tag, HttpStatusCode.NotModified),
            ("If-None-Match", "\"7\", \"1\"", HttpStatusCode.NotModified),
            ("If-None-Match", "*", HttpStatusCode.NotModified),
            ("If-None-Match", "W/\"0\"", HttpStatusCode.OK),
            ("If-Modified-Since", time.ToString("R"), HttpStatusCode.NotModified),
            ("If-Modified-Since", time.AddSeconds(-1).ToString("R"), HttpStatusCode.OK),
        })
        {
            using var answer = await visits.SendAsync(address, headers: (name, value));
            Assert.True(expected == answer.StatusCode, $"{name}: {value}");
            Assert.Equal(tag, answer.Headers.ETag!.ToString());
            if (expected == HttpStatusCode.NotModified)
            {
                Assert.Empty(await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken));
            }
        }

        // RFC 9110, 13.2.2: If-None-Match decides alone.
        using var both = await visits.SendAsync(address, headers: [("If-None-Match", "W/\"0\""), ("If-Modified-Since", time.ToString("R"))]);
        Assert.Equal(HttpStatusCode.OK, both.StatusCode);
        using var unknown = await visits.SendAsync("/fhir/Procedure/never", headers: ("If-None-Match", "*"));
        Assert.Equal(HttpStatusCode.NotFound, unknown.StatusCode);
    }

    [Fact]
    public async Task G16_UnknownId_IsNotFound()
    {
        var (status, answer) = await visits.GetAsync("/fhir/Procedure/never");

        Assert.Equal((HttpStatusCode.NotFound, OperationOutcome.IssueType.NotFound), (status, ((OperationOutcome)answer).Issue.Single().Code!.Value));
    }

    [Theory]
    [InlineData("status=completed,not-done", 2)]
    [InlineData("status=not-done", 0)]
    [InlineData("code=http%3A%2F%2Fsnomed.info%2Fsct%7C{code}", 2)]
    [InlineData("code={code}", 2)]
    [InlineData("code=http%3A%2F%2Floinc.org%7C{code}", 0)]
    public async Task G20_TokensMatchByCommaAndSystem(string query, int expected)
    {
        var code = ((Procedure)await FirstAsync()).Code!.Coding.Single(coding => coding.System == "http://snomed.info/sct").Code;

        Assert.Equal(expected, (await visits.SearchAsync($"{Search}&{query.Replace("{code}", code, StringComparison.Ordinal)}")).Total);
    }

    [Fact]
    public async Task G22_Head_HasTheHeadersOfGetAndNoBody()
    {
        foreach (var address in new[] { $"/fhir/Procedure/{(await FirstAsync()).Id}", Search, "/fhir/metadata", "/fhir/Procedure/never" })
        {
            using var got = await visits.SendAsync(address);
            using var head = await visits.SendAsync(address, HttpMethod.Head);

            Assert.Equal(got.StatusCode, head.StatusCode);
            Assert.Equal(got.Content.Headers.ContentType, head.Content.Headers.ContentType);
            Assert.Equal(got.Headers.ETag, head.Headers.ETag);
            Assert.Equal(got.Content.Headers.LastModified, head.Content.Headers.LastModified);
            Assert.Empty(await head.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken));
        }
    }

    [Theory]
    [InlineData("25577004", 1)]
    [InlineData("25577004,89644007", 2)]
    public async Task Laterality_TellsTheEarsApart(string ear, int expected) =>
        Assert.Equal(expected, (await visits.SearchAsync($"{Search}&laterality={ear}")).Total);

    [Fact]
    public async Task Compartment_IsTheSameSearch()
    {
        Assert.Equal(Ids(await visits.SearchAsync(Search)), Ids(await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/Procedure")));
        Assert.Equal(HttpStatusCode.NotFound, (await visits.GetAsync($"/fhir/Patient/{visits.Patient}/Task")).Status);
        var page = await visits.SearchAsync($"/fhir/Patient/{visits.Patient}/Procedure?_count=1");
        Assert.Single((await visits.SearchAsync(page.NextLink!.OriginalString)).Entry);
    }

    private async Task<Resource> FirstAsync() => (await visits.SearchAsync(Search)).Entry[0].Resource!;

    private static IEnumerable<string> Ids(Bundle bundle, Bundle.SearchEntryMode? mode = null) =>
        bundle.Entry.Where(entry => mode is null || entry.Search!.Mode == mode).Select(entry => entry.Resource!.Id!);
}
