using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using System.Xml.Linq;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Intake.Decisions;

/// <summary>
/// Every kind of decision of a clinician, posted over HTTP and followed to all that comes of it: receipt, order or its absence, summary for the GP practice
/// and words for the patient. The vectors are in <c>decisions.json</c>; each names its source.
/// </summary>
public sealed class DecisionVectorTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static int number;

    private static JsonArray Vectors { get; } =
        JsonNode.Parse(File.ReadAllText(Repository.At("tests", "EarReferral.Gateway.Tests", "Intake", "Decisions", "decisions.json")))!.AsArray();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<string> Ids { get; } = [.. Vectors.Select(vector => (string)vector!["id"]!)];

    [Theory]
    [MemberData(nameof(Ids))]
    public async Task Decision_is_seen_through_to_everybody_who_acts_on_it(string id)
    {
        var vector = Vectors.Single(each => (string)each!["id"]! == id)!;
        var expect = vector["expect"]!;
        var (before, later) = await PostAsync(vector);
        Assert.Single(await ActiveOrdersAsync((await SummaryAsync(before)).Composition)); // every example here is referred until a clinician decides

        var receipt = await SendAsync($"{Address(before["encounter"]!)}/decision", Decision(vector["decision"]!, before, later), "\"1\"", HttpStatusCode.OK);

        // The receipt: what is acted on, what the rules said, every rule that fired still there.
        var decided = receipt["decision"]!;
        Assert.Equal(
            ((string)expect["tier"]!, (string)expect["rulesTier"]!, (bool)expect["phoneNow"]!),
            ((string)decided["tier"]!, (string)decided["rulesTier"]!, (bool)receipt["phoneNow"]!));
        Assert.Equal(Rules(before), Rules(receipt));
        Said((string)decided["tellPatient"]!, expect["tellPatient"], expect["tellPatientLacks"]);

        var (document, composition) = await SummaryAsync(receipt);

        // The order, or that none stands: neither in the receipt nor active in the record.
        var order = (bool)expect["order"]!;
        Assert.Equal(order, receipt["referral"] is not null);
        var active = await ActiveOrdersAsync(composition);
        if (order)
        {
            var request = Assert.Single(active);
            Assert.Equal((string)expect["priority"]!, (string)request["priority"]!);
            Said(string.Join('\n', request["note"]!.AsArray().Select(note => (string)note!["text"]!)), expect["note"], null);
            Assert.Equal((string)decided["tellPatient"]!, (string)request["patientInstruction"]!);
        }
        else
        {
            Assert.Empty(active);
        }

        // The summary, its narrative and its sections; what must not be said is nowhere in the document.
        var sections = string.Join('\n', composition["section"]!.AsArray().Select(section => Text(section!["text"]!)));
        Said(Text(composition["text"]!) + "\n" + sections, expect["summary"], null);
        Said(document, null, expect["summaryLacks"]);
    }

    private static void Said(string text, JsonNode? all, JsonNode? none)
    {
        foreach (var part in all?.AsArray() ?? [])
        {
            Assert.Contains((string)part!, text, StringComparison.Ordinal);
        }

        foreach (var part in none?.AsArray() ?? [])
        {
            Assert.DoesNotContain((string)part!, text, StringComparison.Ordinal);
        }
    }

    private static string Text(JsonNode narrative) => XElement.Parse((string)narrative["div"]!).Value;

    private static List<string> Rules(JsonObject receipt) => [.. receipt["decision"]!["fired"]!.AsArray().Select(rule => $"{rule!["rule"]} {rule["side"]} {rule["tier"]}").Order(StringComparer.Ordinal)];

    private static string Address(JsonNode address) => new Uri((string)address!).AbsolutePath;

    /// <summary>The decision of the vector; its answer is given to each rule that fired with a tier of referral.</summary>
    private static JsonObject Decision(JsonNode written, JsonObject before, string later)
    {
        var decision = JsonNode.Parse(written.ToJsonString().Replace("$later", later, StringComparison.Ordinal))!.AsObject();
        decision["person"] = "Morwenna Tal";
        decision["at"] = later;
        if (decision["answer"] is { } answer)
        {
            decision.Remove("answer");
            decision["ruleResponses"] = new JsonArray(
            [
                .. before["decision"]!["fired"]!.AsArray().Where(rule => (string)rule!["tier"]! != "T4").Select(rule =>
                {
                    var response = answer.DeepClone().AsObject();
                    response["ruleId"] = (string)rule!["rule"]!;
                    if ((string?)rule["side"] is { } side)
                    {
                        response["side"] = side;
                    }

                    return response;
                }),
            ]);
        }

        return decision;
    }

    private async Task<(JsonObject Receipt, string Later)> PostAsync(JsonNode vector)
    {
        var example = JsonNode.Parse(await File.ReadAllTextAsync(Repository.At("examples", "encounters", $"{vector["example"]}.json"), Stop))!.AsObject();
        var document = ExampleRebase.To(example, TimeProvider.System.GetUtcNow());
        document["encounterId"] = $"decided-{Interlocked.Increment(ref number)}";
        document["consent"]!["sharingWithGp"] = (string?)vector["sharingWithGp"] ?? "yes";
        var status = await gateway.PostWhenReadyAsync(document.ToJsonString());
        Assert.Equal(HttpStatusCode.Created, status);
        var listed = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/encounters?count=200", UriKind.Relative), Stop))!["items"]!.AsArray();
        var address = $"/encounters/{listed.Single(item => (string)item!["encounterId"]! == (string)document["encounterId"]!)!["id"]}";
        return (JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(address, UriKind.Relative), Stop))!.AsObject(), (string)document["evaluationInstant"]!);
    }

    private async Task<(string Document, JsonNode Composition)> SummaryAsync(JsonObject receipt)
    {
        var document = await gateway.Client.GetStringAsync(new Uri(Address(receipt["summary"]!), UriKind.Relative), Stop);
        var composition = JsonNode.Parse(document)!["entry"]![0]!["resource"]!;
        Assert.Equal("Composition", (string)composition["resourceType"]!);
        return (document, composition);
    }

    private async Task<List<JsonNode>> ActiveOrdersAsync(JsonNode composition)
    {
        var encounter = ((string)composition["encounter"]!["reference"]!).Split(':', '/')[^1];
        var found = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/fhir/ServiceRequest?encounter=Encounter/{encounter}&status=active", UriKind.Relative), Stop))!;
        return [.. (found["entry"]?.AsArray() ?? []).Select(entry => entry!["resource"]!).Where(resource => (string)resource["resourceType"]! == "ServiceRequest")];
    }

    private async Task<JsonObject> SendAsync(string path, JsonObject body, string ifMatch, HttpStatusCode expected)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        request.Headers.Add("If-Match", ifMatch);
        using var response = await gateway.Client.SendAsync(request, Stop);
        var answer = JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject();
        Assert.True(expected == response.StatusCode, answer.ToJsonString());
        return answer;
    }
}
