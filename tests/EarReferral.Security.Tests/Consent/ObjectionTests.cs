using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Fhir;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Security.Tests.Consent;

/// <summary>
/// An objection stops exactly its flow on every route (decision 0031). Source of what each reader sees otherwise: the same visit without
/// the objection, posted beside it.
/// </summary>
public sealed class ObjectionTests : IAsyncLifetime
{
    private static readonly Reach Practice = new Reach.Practice("MRS42");
    private static readonly Reach Ent = new Reach.Destination(RunningGateway.Destination);
    private static readonly Reach Everything = new Reach.Everything("test");
    private readonly RunningGateway gateway = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync() => await gateway.InitializeAsync();

    public async ValueTask DisposeAsync() => await gateway.DisposeAsync();

    [Fact]
    public async Task PracticeReadsNothingOfAVisitThatThePatientKeepsFromIt()
    {
        var shared = await PostAsync("09-", "share", "9990000018", _ => { });
        var kept = await PostAsync("09-", "keep", "9990000026", consent => consent["sharingWithGp"] = "no");

        Assert.NotEmpty(await OfVisitAsync(Practice, shared));
        Assert.Empty(await OfVisitAsync(Practice, kept));
        Assert.NotEmpty(await OfVisitAsync(Everything, kept));
        var stop = kept["notShared"]!.AsArray().Single()!;
        Assert.Equal(("gp", true), ((string)stop["with"]!, (bool)stop["needsDecision"]!));
        Assert.Null(shared["notShared"]);
        Assert.Contains("sharingObjected", await AttentionAsync((string)kept["encounterId"]!));
    }

    [Fact]
    public async Task PracticeReadsNothingMore_OnceACorrectionRecordsTheObjection_NotEvenWhatItNoLongerCarries()
    {
        var first = await PostAsync("09-", "change", "9990000034", _ => { });
        var before = await OfVisitAsync(Practice, first);
        var corrected = Document("09-", "change", "9990000034", consent => consent["sharingWithGp"] = "no");
        corrected["revision"] = 2;
        corrected["supersedes"] = new JsonObject { ["revision"] = 1, ["reason"] = "The patient changed their mind.", ["person"] = "I. Thornbury" };
        corrected["symptoms"]?.AsObject().Remove("tinnitus");
        using var tagged = new HttpRequestMessage(HttpMethod.Put, new Uri(new Uri((string)first["encounter"]!).PathAndQuery, UriKind.Relative)) { Content = JsonContent.Create(corrected) };
        tagged.Headers.TryAddWithoutValidation("If-Match", "\"1\"");
        using var answer = await gateway.Client.SendAsync(tagged, Stop);

        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync(Stop));
        Assert.NotEmpty(before);
        foreach (var (type, id) in before)
        {
            var resources = gateway.Get<ResourceStore>();
            Assert.Null(await resources.ReadAsync(Practice, type, id, Stop));
            Assert.Null(await resources.ReadVersionAsync(Practice, type, id, 1, Stop));
            Assert.Empty(await resources.HistoryAsync(Practice, type, id, Stop));
        }
    }

    [Fact]
    public async Task ReferralThatThePatientKeepsFromEnt_IsHeld_UntilANamedClinicianDecides()
    {
        var kept = await PostAsync("09-", "ent", "9990000042", consent => consent["sharingWithEnt"] = "no");
        var id = (string)kept["referral"]!["id"]!;
        var store = gateway.Get<ReferralStore>();
        var stored = await store.FindAsync(Everything, id, Stop);

        Assert.Equal((ReferralState.Held, ReferralObjection.Stands), (stored!.State, stored.Objection));
        Assert.Null(await store.FindAsync(Ent, id, Stop));
        Assert.Null(await gateway.Get<ResourceStore>().ReadAsync(Ent, "ServiceRequest", id, Stop));
        Assert.Null(await gateway.Get<ResourceStore>().ReadAsync(Ent, "Task", stored.TaskId, Stop));
        Assert.NotEmpty(await OfVisitAsync(Practice, kept));
        Assert.Contains("sharingObjected", await AttentionAsync(id));
        Assert.Equal(["patient-objects", "patient-objects"], [
            await ProblemAsync($"/referrals/{id}/release", new { person = "Piran Angove" }),
            await ProblemAsync($"/referrals/{id}/redirect", new { person = "Piran Angove", reason = "wrongReceiver", destination = RunningGateway.Destination })]);

        Assert.Equal("request-refused", await ProblemAsync($"/referrals/{id}/objection", new { person = "Dr Jory Pascoe", role = "operator", text = "Life at risk.", told = "ENT on call" }));
        using var decided = await gateway.Client.PostAsJsonAsync(new Uri($"/referrals/{id}/objection", UriKind.Relative), new { person = "Dr Jory Pascoe", role = "clinician", text = "Life at risk.", told = "ENT on call" }, Stop);

        Assert.Equal(HttpStatusCode.OK, decided.StatusCode);
        Assert.Equal("overridden", (string?)JsonNode.Parse(await decided.Content.ReadAsStringAsync(Stop))!["objection"]);
        Assert.Equal(ReferralObjection.Overridden, (await store.FindAsync(Ent, id, Stop))!.Objection);
        Assert.NotNull(await gateway.Get<ResourceStore>().ReadAsync(Ent, "ServiceRequest", id, Stop));
        var audit = await gateway.Audit.ListAsync(Everything, null, 200, Stop);
        Assert.Contains(audit.Items, entry => entry.Action == AuditAction.Override && entry.ResourceId == id && entry.Purpose!.Contains("Dr Jory Pascoe", StringComparison.Ordinal));
    }

    [Fact]
    public async Task WhatNobodyAsked_IsNoObjection_AndNoAgreement()
    {
        var open = await PostAsync("09-", "open", "9990000050", consent =>
        {
            consent["sharingWithGp"] = "notAsked";
            consent["sharingWithEnt"] = "notAsked";
        });

        Assert.Null(open["notShared"]);
        var seen = await OfVisitAsync(Practice, open);
        Assert.NotEmpty(seen);
        var consents = new List<string>();
        foreach (var (type, id) in seen.Where(each => each.Type == "Consent"))
        {
            consents.Add((await gateway.Get<ResourceStore>().ReadAsync(Practice, type, id, Stop))!.Json);
        }

        Assert.DoesNotContain(consents, json => json.Contains("sharing-with", StringComparison.Ordinal));
    }

    [Fact]
    public async Task ImagesThatThePatientRefused_AreRefused()
    {
        var document = Document("02-", "images", "9990000069", consent => consent["recordingImages"] = "no");
        using var answer = await gateway.Client.PostAsJsonAsync(new Uri("/encounters", UriKind.Relative), document, Stop);

        var problem = await answer.Content.ReadAsStringAsync(Stop);
        Assert.False(answer.IsSuccessStatusCode);
        Assert.True(problem.Contains("consent.images-refused", StringComparison.Ordinal), problem);
    }

    /// <summary>Type and id of everything of the visit and its patient within reach, by search over every type that is served.</summary>
    private async Task<IReadOnlyList<(string Type, string Id)>> OfVisitAsync(Reach reach, JsonObject receipt)
    {
        var encounter = new Uri((string)receipt["encounter"]!).Segments[^1];
        var key = Guid.Parse(encounter);
        var all = new List<(string, string)>();
        var stored = (await gateway.Encounters.FindAsync(Everything, key, Stop))!;
        foreach (var type in EarReferral.Gateway.Fhir.Capability.Types)
        {
            var parsed = SearchParser.Parse(type, [KeyValuePair.Create("_lastUpdated", "ge2020-01-01")], TimeProvider.System.GetUtcNow());
            Assert.True(parsed.Query is not null, $"{type}: {string.Join(' ', parsed.Problems)}");
            var query = parsed.Query;
            var page = await gateway.Get<ResourceStore>().SearchAsync(reach, query, null, Stop);
            all.AddRange(page.Entries.Where(match => match.PatientKey == stored.PatientKey).Select(match => (match.Type, match.Id)));
        }

        return all;
    }

    private async Task<JsonObject> PostAsync(string example, string suffix, string nhsNumber, Action<JsonObject> change)
    {
        var document = Document(example, suffix, nhsNumber, change).ToJsonString();
        for (var attempt = 0; ; attempt++)
        {
            using var content = new StringContent(document, System.Text.Encoding.UTF8, "application/json");
            using var answer = await gateway.Client.PostAsync(new Uri("/encounters", UriKind.Relative), content, Stop);
            var text = await answer.Content.ReadAsStringAsync(Stop);
            if (answer.StatusCode != HttpStatusCode.ServiceUnavailable || attempt == 20)
            {
                Assert.True(answer.IsSuccessStatusCode, text);
                return JsonNode.Parse(text)!.AsObject();
            }
        }
    }

    private static JsonObject Document(string example, string suffix, string nhsNumber, Action<JsonObject> change)
    {
        var document = RecordedVisits.Example(example);
        document["encounterId"] = $"{(string)document["encounterId"]!}-{suffix}";
        document["patient"]!["id"] = $"patient-{suffix}";
        document["patient"]!["nhsNumber"]!["value"] = nhsNumber;
        document["patient"]!["gpPractice"]!["odsCode"] = "MRS42";
        change(document["consent"]!.AsObject());
        return document;
    }

    private async Task<string> ProblemAsync(string address, object body)
    {
        using var answer = await gateway.Client.PostAsJsonAsync(new Uri(address, UriKind.Relative), body, Stop);
        Assert.False(answer.IsSuccessStatusCode);
        return new Uri((string)JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!["type"]!).Segments[^1];
    }

    private async Task<IEnumerable<string?>> AttentionAsync(string id)
    {
        var list = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/attention", UriKind.Relative), Stop))!["items"]!.AsArray();
        return list.Where(item => (string?)item!["referralId"] == id || (string?)item["encounterId"] == id).Select(item => (string?)item!["kind"]).ToList();
    }
}
