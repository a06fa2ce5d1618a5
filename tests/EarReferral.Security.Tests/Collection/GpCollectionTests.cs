using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Fhir;
using EarReferral.Security.Tests.Support;
using EarReferral.Storage;
using EarReferral.Storage.Audit;

namespace EarReferral.Security.Tests.Collection;

/// <summary>
/// What is asked of a GP is followed until the system of the practice has fetched it. Source: clinical-safety requirement of the product (a
/// summary that waits to be pulled is no request that anybody knows of); common practice, no source. The times are our own proposal
/// (docs/delivery.md).
/// </summary>
public sealed class GpCollectionTests(GuardedGateway gateway) : IClassFixture<GuardedGateway>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task RequestToThePractice_WaitsUntilItsOwnSystemWasShownThisSummary_AndAnewAfterACorrection()
    {
        var (clinic, practice) = (await gateway.TokenAsync("clinic"), await gateway.TokenAsync("gpPractice"));
        var document = Document("13-", "collect", "MRS42");
        var receipt = await gateway.PostAsync(clinic, document);
        var composition = ((string)receipt["summary"]!).Split('/')[^2];
        Assert.Equal((true, "practice"), ((bool)receipt["gp"]!["actionNeeded"]!, (string?)receipt["gp"]!["readable"]));
        Assert.StartsWith("GP: please make a suspected-cancer referral today", (string?)receipt["gp"]!["action"], StringComparison.Ordinal);
        var waiting = Assert.Single(await MattersAsync(document));
        Assert.Equal(("gpActionNotCollected", "T2C", true), ((string?)waiting["kind"], (string?)waiting["tier"], (bool)waiting["overdue"]!));

        // None of these is the practice reading this summary.
        Assert.Equal(200, (await gateway.SendAsync(clinic, HttpMethod.Get, $"/fhir/Composition/{composition}")).Status);
        Assert.Equal(404, (await gateway.SendAsync(await gateway.TokenAsync("gpPractice-foreign"), HttpMethod.Get, $"/fhir/Composition/{composition}")).Status);
        Assert.Equal(200, (await gateway.SendAsync(practice, HttpMethod.Get, "/fhir/Patient?_lastUpdated=ge2020-01-01")).Status);
        Assert.Equal(200, (await gateway.SendAsync(practice, HttpMethod.Get, "/fhir/Composition?_lastUpdated=lt2020-01-01")).Status);
        Assert.Single(await MattersAsync(document));

        // The way that docs/fhir-read.md gives to a practice: a poll.
        Assert.Equal(200, (await gateway.SendAsync(practice, HttpMethod.Get, "/fhir/Composition?_lastUpdated=ge2020-01-01")).Status);
        Assert.Empty(await MattersAsync(document));

        document["revision"] = 2;
        document["supersedes"] = new JsonObject { ["revision"] = 1, ["reason"] = "A word was wrong.", ["person"] = "I. Thornbury" };
        using var put = new HttpRequestMessage(HttpMethod.Put, new Uri(new Uri((string)receipt["encounter"]!).PathAndQuery, UriKind.Relative)) { Content = new StringContent(document.ToJsonString(), System.Text.Encoding.UTF8, "application/json") };
        put.Headers.Authorization = new("Bearer", clinic);
        put.Headers.TryAddWithoutValidation("If-Match", "\"1\"");
        using var corrected = await gateway.Http.SendAsync(put, Stop);
        Assert.True(corrected.IsSuccessStatusCode, await corrected.Content.ReadAsStringAsync(Stop));
        Assert.Equal("gpActionNotCollected", (string?)Assert.Single(await MattersAsync(document))["kind"]);
        Assert.Equal(200, (await gateway.SendAsync(practice, HttpMethod.Get, $"/fhir/Composition/{composition}/$document")).Status);
        Assert.Empty(await MattersAsync(document));
    }

    [Theory]
    [InlineData("13-", "MRS77", "notConnected")]
    [InlineData("17-", null, "notRegistered")]
    public async Task SummaryThatNobodyCanFetch_IsListedForTheClinic_UntilItWroteDownThatItHandedItOver(string example, string? practice, string why)
    {
        var clinic = await gateway.TokenAsync("clinic");
        var document = Document(example, $"give-{why}", practice);
        if (practice is null)
        {
            document["patient"]!["gpPracticeAbsentReason"] = why;
        }

        var receipt = await gateway.PostAsync(clinic, document);
        var address = new Uri((string)receipt["encounter"]!).PathAndQuery + "/summary-given";
        var waiting = Assert.Single(await MattersAsync(document));
        Assert.Equal(("summaryNotReleased", why), ((string?)waiting["kind"], (string?)waiting["why"]));

        var (refused, problems) = await gateway.SendAsync(clinic, HttpMethod.Post, address, "{}");
        Assert.Equal(422, refused);
        Assert.Equal(["/person", "/way", "/to", "/at"], JsonNode.Parse(problems)!["errors"]!.AsArray().Select(error => (string?)error!["pointer"]));
        Assert.Single(await MattersAsync(document));

        var act = new JsonObject { ["person"] = "Morwenna Tregear", ["way"] = "patientCopy", ["to"] = "patient", ["at"] = DateTimeOffset.UtcNow.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", System.Globalization.CultureInfo.InvariantCulture) }.ToJsonString();
        Assert.Equal(204, (await gateway.SendAsync(clinic, HttpMethod.Post, address, act)).Status);
        Assert.Equal(204, (await gateway.SendAsync(clinic, HttpMethod.Post, address, act)).Status);
        Assert.Equal(404, (await gateway.SendAsync(await gateway.TokenAsync("clinic-foreign"), HttpMethod.Post, address, act)).Status);
        Assert.Empty(await MattersAsync(document));
        var key = Guid.Parse(new Uri((string)receipt["encounter"]!).Segments[^1]);
        var patient = (await gateway.Gateway.Encounters.FindAsync(new Reach.Everything("test"), key, Stop))!.PatientKey;
        var row = Assert.Single(await RowsAsync(), entry => entry.Action == AuditAction.HandOver && entry.PatientKey == patient);
        Assert.Contains("Morwenna Tregear", row.Purpose, StringComparison.Ordinal);
    }

    [Fact]
    public async Task SummaryThatAsksForNothing_IsNoMatter_WhereThePracticeIsRecorded()
    {
        var clinic = await gateway.TokenAsync("clinic");
        var document = Document("06-", "file", "MRS42");
        var receipt = await gateway.PostAsync(clinic, document);

        Assert.False((bool)receipt["gp"]!["actionNeeded"]!);
        Assert.Empty(await MattersAsync(document));
    }

    private static JsonObject Document(string example, string suffix, string? practice)
    {
        var document = RecordedVisits.Example(example);
        document["encounterId"] = $"{(string)document["encounterId"]!}-{suffix}";
        document["patient"]!["id"] = $"patient-{suffix}";
        if (practice is not null)
        {
            document["patient"]!["gpPractice"]!["odsCode"] = practice;
        }

        return document;
    }

    private async Task<IReadOnlyList<JsonNode>> MattersAsync(JsonObject document)
    {
        var (status, body) = await gateway.SendAsync(await gateway.TokenAsync("clinic"), HttpMethod.Get, "/attention");
        Assert.Equal(200, status);
        return [.. JsonNode.Parse(body)!["items"]!.AsArray().Where(item => (string?)item!["encounterId"] == (string?)document["encounterId"] && (string?)item["kind"] is "gpActionNotCollected" or "summaryNotReleased").OfType<JsonNode>()];
    }

    private async Task<List<AuditEntry>> RowsAsync()
    {
        var rows = new List<AuditEntry>();
        for (string? cursor = null; ;)
        {
            var page = await gateway.Gateway.Audit.ListAsync(new Reach.Everything("test"), cursor, 200, Stop);
            rows.AddRange(page.Items);
            if ((cursor = page.Next) is null)
            {
                return rows;
            }
        }
    }
}
