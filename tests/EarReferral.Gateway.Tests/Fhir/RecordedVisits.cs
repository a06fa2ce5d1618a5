using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>The gateway with two visits taken in: wax removed from both ears (example 01) and a sudden loss that is referred (09).</summary>
public sealed class RecordedVisits : IAsyncLifetime
{
    public const string NhsNumbers = "https://fhir.nhs.uk/Id/nhs-number";

    private static readonly DeserializerSettings Strict = new DeserializerSettings().UsingMode(DeserializationMode.Strict);
    private readonly RunningGateway gateway = new();

    public HttpClient Client => gateway.Client;

    /// <summary>NHS number of the patient of both ears.</summary>
    public string NhsNumber { get; private set; } = "";

    /// <summary>Id of that patient.</summary>
    public string Patient { get; private set; } = "";

    /// <summary>Receipt of the visit that is referred.</summary>
    public JsonObject Referred { get; private set; } = [];

    public async ValueTask InitializeAsync()
    {
        await gateway.InitializeAsync();
        var first = Example("01-");
        NhsNumber = ((string)first["patient"]!["nhsNumber"]!["value"]!).Replace(" ", "", StringComparison.Ordinal);
        await PostAsync(first);
        Referred = await PostAsync(Example("09-"));
        Patient = (await SearchAsync($"/fhir/Patient?identifier={Uri.EscapeDataString($"{NhsNumbers}|{NhsNumber}")}")).Entry.Single().Resource!.Id!;
    }

    public async ValueTask DisposeAsync() => await gateway.DisposeAsync();

    public static JsonObject Example(string start) =>
        JsonNode.Parse(File.ReadAllText(Directory.GetFiles(Repository.At("examples", "encounters"), start + "*.json").Single()))!.AsObject();

    /// <summary>Posts a visit, waiting until the gateway is warm.</summary>
    public async Task<JsonObject> PostAsync(JsonObject document)
    {
        while (true)
        {
            using var body = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json");
            using var answer = await Client.PostAsync(new Uri("/encounters", UriKind.Relative), body, TestContext.Current.CancellationToken);
            if (answer.StatusCode != HttpStatusCode.ServiceUnavailable)
            {
                Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
                return JsonNode.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))!.AsObject();
            }

            await Task.Delay(500, TestContext.Current.CancellationToken);
        }
    }

    /// <summary>Sends a request to an address below the gateway.</summary>
    public async Task<HttpResponseMessage> SendAsync(string address, HttpMethod? method = null, HttpContent? body = null, params IEnumerable<(string Name, string Value)> headers)
    {
        using var request = new HttpRequestMessage(method ?? HttpMethod.Get, new Uri(Below(address), UriKind.Relative)) { Content = body };
        foreach (var (name, value) in headers)
        {
            request.Headers.TryAddWithoutValidation(name, value);
        }

        return await Client.SendAsync(request, TestContext.Current.CancellationToken);
    }

    /// <summary>The resource that an answer carries; XML is held against HL7's own schema.</summary>
    public static async Task<Resource> ReadAsync(HttpResponseMessage answer)
    {
        var text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        if (answer.Content.Headers.ContentType!.MediaType!.EndsWith("xml", StringComparison.Ordinal))
        {
            Assert.Empty(R4Schema.Problems(text));
            return new FhirXmlDeserializer(Strict).DeserializeResource(text);
        }

        return new FhirJsonDeserializer(Strict).DeserializeResource(text);
    }

    /// <summary>Status and resource of an address.</summary>
    public async Task<(HttpStatusCode Status, Resource Answer)> GetAsync(string address, params IEnumerable<(string Name, string Value)> headers)
    {
        using var answer = await SendAsync(address, headers: headers);
        return (answer.StatusCode, await ReadAsync(answer));
    }

    /// <summary>The Bundle at an address.</summary>
    public async Task<Bundle> SearchAsync(string address, params IEnumerable<(string Name, string Value)> headers)
    {
        var (status, answer) = await GetAsync(address, headers);
        Assert.Equal(HttpStatusCode.OK, status);
        return Assert.IsType<Bundle>(answer);
    }

    /// <summary>Path and query of an address; the gateway under test does not know the port that it got.</summary>
    private static string Below(string address) => address.StartsWith("http", StringComparison.Ordinal) ? new Uri(address).PathAndQuery : address;
}
