using System.Text.Json.Nodes;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Gateway.OpenApi;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Gateway.Tests.OpenApi;

public sealed class OpenApiDocumentTests
{
    [Fact]
    public async Task PublishedEncounter_IsTheHandWrittenSchemaWithItsReferencesRewritten()
    {
        var document = await DocumentAsync();
        var schema = JsonNode.Parse(EncounterSchema.Text)!.AsObject();
        var components = document["components"]!["schemas"]!.AsObject();

        foreach (var definition in schema["$defs"]!.AsObject())
        {
            var published = components[$"Encounter.{definition.Key}"]!.ToJsonString().Replace("#/components/schemas/Encounter.", "#/$defs/", StringComparison.Ordinal);
            Assert.Equal(definition.Value!.ToJsonString(), published);
        }

        var root = components["Encounter"]!.AsObject();
        Assert.Equal(schema["properties"]!.AsObject().Select(property => property.Key), root["properties"]!.AsObject().Select(property => property.Key));
        Assert.Equal(schema["required"]!.ToJsonString(), root["required"]!.ToJsonString());
    }

    [Fact]
    public async Task Examples_AreARealRequestAndTheAnswerItGets()
    {
        var post = (await DocumentAsync())["paths"]!["/encounters"]!["post"]!;
        var request = post["requestBody"]!["content"]!["application/json"]!;

        var reading = EncounterReader.Read(System.Text.Encoding.UTF8.GetBytes(request["example"]!.ToJsonString()), new EncounterReaderOptions { AllowTestNhsNumbers = true });

        Assert.Equal("#/components/schemas/Encounter", (string)request["schema"]!["$ref"]!);
        Assert.Empty(reading.Problems);
        Assert.Equal("T1", (string)post["responses"]!["201"]!["content"]!["application/json"]!["example"]!["decision"]!["tier"]!);
    }

    [Theory]
    [InlineData("/encounters/{id}/answers", "given", "state")]
    [InlineData("/encounters/{id}/retraction", "reason", "state")]
    [InlineData("/referrals/{id}/closure", "reason", "delivery")]
    public async Task PostWithABody_HasAnExampleOfItAndOfItsAnswer(string path, string member, string answered)
    {
        var post = (await DocumentAsync())["paths"]![path]!["post"]!;

        Assert.NotNull(post["requestBody"]!["content"]!["application/json"]!["example"]![member]);
        Assert.NotNull(post["responses"]!["200"]!["content"]!["application/json"]!["example"]![answered]);
    }

    [Fact]
    public async Task EveryPostAboutAReferralOrAnAlarm_HasAnExampleOfItAndOfItsAnswer()
    {
        var posts = (await DocumentAsync())["paths"]!.AsObject()
            .Where(path => path.Key.StartsWith("/referrals/", StringComparison.Ordinal) || path.Key.StartsWith("/alarms/", StringComparison.Ordinal))
            .Where(path => path.Value!["post"]?["requestBody"] is not null)
            .ToList();

        Assert.True(posts.Count >= 10, $"only {posts.Count} posts were found");
        Assert.All(posts, path =>
        {
            Assert.NotNull(path.Value!["post"]!["requestBody"]!["content"]!["application/json"]!["example"]);
            Assert.NotNull(path.Value["post"]!["responses"]!["200"]!["content"]!["application/json"]!["example"]);
        });
    }

    [Fact]
    public async Task EveryReference_Resolves()
    {
        var document = await DocumentAsync();

        var references = References(document).Distinct().ToList();

        Assert.NotEmpty(references);
        Assert.All(references, reference =>
        {
            var found = reference[2..].Split('/').Aggregate((JsonNode?)document, (node, step) => node?[step.Replace("~1", "/", StringComparison.Ordinal)]);
            Assert.True(found is not null, reference);
        });
    }

    private static IEnumerable<string> References(JsonNode? node) => node switch
    {
        JsonObject members => members.SelectMany(member => member.Key == "$ref" && member.Value is JsonValue value ? [(string)value!] : References(member.Value)),
        JsonArray items => items.SelectMany(References),
        _ => [],
    };

    private static async Task<JsonObject> DocumentAsync()
    {
        var folder = Directory.CreateTempSubdirectory("ear-openapi-").FullName;
        await using var host = GatewayHost.Build(new HostSettings("http://127.0.0.1:0", folder, DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", folder, Once: true, AsJson: false))));
        await host.StartAsync(TestContext.Current.CancellationToken);
        var json = await host.Services.GetRequiredService<OpenApiDocument>().JsonAsync(TestContext.Current.CancellationToken);
        return JsonNode.Parse(json)!.AsObject();
    }
}
