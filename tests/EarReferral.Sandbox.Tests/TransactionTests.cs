using System.Net;
using System.Text.Json.Nodes;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Sandbox.Tests;

/// <summary>Checked against FHIR R4 4.0.1, RESTful API: transaction, conditional create; Bundle: bdl-1 to bdl-8.</summary>
public sealed class TransactionTests
{
    [Fact]
    public async Task A_referral_is_stored_with_ids_of_the_receivers_own_and_references_that_follow_them()
    {
        await using var sandbox = await RunningSandbox.StartAsync();

        var (status, body) = await sandbox.PostAsync(ReferralBundle.Of("a"));

        Assert.Equal(HttpStatusCode.OK, status);
        var response = Assert.IsType<Bundle>(new FhirJsonDeserializer().DeserializeResource(body.ToJsonString()));
        Assert.Equal(Bundle.BundleType.TransactionResponse, response.Type);
        var entries = response.Entry.Select(entry => Assert.IsType<Bundle.ResponseComponent>(entry.Response)).ToList();
        Assert.All(entries, entry => Assert.Equal("201 Created", entry.Status));
        Assert.All(entries, entry => Assert.Equal("W/\"1\"", entry.Etag));
        Assert.All(entries, entry => Assert.NotNull(entry.LastModified));
        var references = Locations(body).Select(location => string.Join('/', location.Split('/')[..2])).ToList();
        Assert.Equal(["Patient", "ServiceRequest", "Task"], references.Select(reference => reference.Split('/')[0]));

        var (patient, request, task) = (references[0], references[1], references[2]);
        var stored = (await sandbox.GetAsync($"/fhir/{request}")).Body;
        Assert.Equal(patient, (string?)stored["subject"]!["reference"]);
        Assert.Contains($"href=\"{patient}\"", (string?)stored["text"]!["div"], StringComparison.Ordinal);
        Assert.Equal(request, (string?)(await sandbox.GetAsync($"/fhir/{task}")).Body["focus"]!["reference"]);
    }

    [Fact]
    public async Task The_same_bundle_again_creates_nothing_and_names_what_is_there()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var first = (await sandbox.PostAsync(ReferralBundle.Of("a"))).Body;

        var (status, second) = await sandbox.PostAsync(ReferralBundle.Of("a"));

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.All(second["entry"]!.AsArray(), entry => Assert.Equal("200 OK", (string?)entry!["response"]!["status"]));
        Assert.Equal(Locations(first), Locations(second));
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task A_conditional_create_searches_the_store_and_not_a_list_of_bundles_seen()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var patient = Locations((await sandbox.PostAsync(ReferralBundle.Bundle(ReferralBundle.Patient("a")))).Body)[0];
        var other = ReferralBundle.Bundle(ReferralBundle.ServiceRequest("b"), ReferralBundle.Patient("a"));

        var body = (await sandbox.PostAsync(other)).Body;

        Assert.Equal(["201 Created", "200 OK"], body["entry"]!.AsArray().Select(entry => (string?)entry!["response"]!["status"]));
        Assert.Equal(patient, Locations(body)[1]);
        Assert.Equal(1, await sandbox.CountAsync("Patient"));
    }

    [Fact]
    public async Task An_identifier_held_by_two_resources_refuses_the_whole_transaction()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        foreach (var _ in Enumerable.Range(0, 2))
        {
            var unconditional = ReferralBundle.Patient("a");
            unconditional["request"]!.AsObject().Remove("ifNoneExist");
            await sandbox.PostAsync(ReferralBundle.Bundle(unconditional));
        }

        var (status, body) = await sandbox.PostAsync(ReferralBundle.Of("a"));

        Assert.Equal(HttpStatusCode.PreconditionFailed, status);
        Assert.Equal("multiple-matches", (string?)body["issue"]![0]!["code"]);
        Assert.Equal(0, await sandbox.CountAsync("ServiceRequest"));
    }

    [Theory]
    [InlineData("urn:uuid:00000000-0000-4000-8000-000000000000", "an entry that is not in the bundle")]
    [InlineData("Patient/42", "an id that the receiver never gave")]
    [InlineData("#patient", "nothing contained")]
    [InlineData("https://elsewhere.example/fhir/Patient/1", "another server")]
    public async Task A_reference_that_leads_nowhere_stores_nothing(string reference, string because)
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var bundle = ReferralBundle.Of("a");
        bundle["entry"]![1]!["resource"]!["subject"]!["reference"] = reference;

        var (status, body) = await sandbox.PostAsync(bundle);

        Assert.True(status == HttpStatusCode.BadRequest, because);
        Assert.Equal("OperationOutcome", (string?)body["resourceType"]);
        Assert.Equal("Bundle.entry[1].resource.subject.reference", (string?)body["issue"]![0]!["expression"]![0]);
        Assert.Equal(0, await sandbox.CountAsync("Patient"));
    }

    [Fact]
    public async Task A_reference_to_what_an_earlier_transaction_created_is_followed()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var patient = string.Join('/', Locations((await sandbox.PostAsync(ReferralBundle.Bundle(ReferralBundle.Patient("a")))).Body)[0].Split('/')[..2]);
        var request = ReferralBundle.ServiceRequest("a");
        request["resource"]!["subject"]!["reference"] = patient;
        request["resource"]!.AsObject().Remove("text");

        Assert.Equal(HttpStatusCode.OK, (await sandbox.PostAsync(ReferralBundle.Bundle(request))).Status);
    }

    public static TheoryData<string, string> Malformed => new()
    {
        { """{ "type": "batch" }""", "a batch would not resolve references" },
        { """{ "total": 3 }""", "bdl-1" },
        { """{ "entry": [] }""", "nothing to do" },
        { """{ "entry.0.fullUrl": "urn:uuid:3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a02" }""", "bdl-7: used twice" },
        { """{ "entry.0.fullUrl": "Patient/1" }""", "a reference to it would have no defined target" },
        { """{ "entry.0.request": null }""", "bdl-3" },
        { """{ "entry.0.resource": null }""", "a POST has a resource" },
        { """{ "entry.0.request.method": "PUT" }""", "this receiver creates only" },
        { """{ "entry.0.request.url": "Person" }""", "url and type differ" },
        { """{ "entry.0.request.ifNoneExist": "name=x" }""", "cannot be answered, so must not be ignored" },
        { """{ "entry.1.resource.status": "sent" }""", "not a code of request-status" },
        { """{ "entry.1.resource.subject": null }""", "ServiceRequest.subject is 1..1" },
        { """{ "entry.1.resource.side": "left" }""", "not an element of ServiceRequest" },
    };

    [Theory]
    [MemberData(nameof(Malformed))]
    public async Task A_malformed_bundle_is_refused_whole(string change, string because)
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var bundle = ReferralBundle.Of("a");
        var (path, value) = JsonNode.Parse(change)!.AsObject().Single();
        Set(bundle, path.Split('.'), value?.DeepClone());

        var (status, body) = await sandbox.PostAsync(bundle);

        Assert.True(status == HttpStatusCode.BadRequest, because);
        Assert.Equal("OperationOutcome", (string?)body["resourceType"]);
        Assert.Equal(0, await sandbox.CountAsync("Patient"));
        Assert.Equal(0, await sandbox.CountAsync("Task"));
    }

    [Theory]
    [InlineData("{", "application/fhir+json", HttpStatusCode.BadRequest)]
    [InlineData("[]", "application/fhir+json", HttpStatusCode.BadRequest)]
    [InlineData("<Bundle/>", "application/fhir+xml", HttpStatusCode.UnsupportedMediaType)]
    public async Task A_body_that_is_not_ours_to_read_gets_an_operation_outcome(string body, string mediaType, HttpStatusCode expected)
    {
        await using var sandbox = await RunningSandbox.StartAsync();

        using var answer = await sandbox.PostRawAsync(body, mediaType);

        Assert.Equal(expected, answer.StatusCode);
        Assert.Equal("application/fhir+json", answer.Content.Headers.ContentType?.MediaType);
    }

    private static List<string> Locations(JsonObject response) => [.. response["entry"]!.AsArray().Select(entry => (string)entry!["response"]!["location"]!)];

    private static void Set(JsonNode node, string[] path, JsonNode? value)
    {
        foreach (var step in path[..^1])
        {
            node = (node is JsonArray array ? array[int.Parse(step, System.Globalization.CultureInfo.InvariantCulture)] : node[step])!;
        }

        if (value is null)
        {
            node.AsObject().Remove(path[^1]);
        }
        else
        {
            node[path[^1]] = value;
        }
    }
}
