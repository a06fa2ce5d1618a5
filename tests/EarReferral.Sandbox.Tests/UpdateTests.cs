using System.Net;
using System.Text.Json.Nodes;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Sandbox.Tests;

/// <summary>The stand-in with <c>--updates yes</c>. Checked against FHIR R4 4.0.1, RESTful API: conditional update, transaction.</summary>
public sealed class UpdateTests
{
    [Fact]
    public async Task Conditional_update_makes_the_next_version_of_what_has_the_identifier()
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { Updates = true });
        var first = Location(await PostAsync(sandbox, ReferralBundle.Of("a")), 1);

        var second = await PostAsync(sandbox, Changed("a"));

        Assert.Equal("200 OK", (string?)second["entry"]![1]!["response"]!["status"]);
        Assert.Equal("W/\"2\"", (string?)second["entry"]![1]!["response"]!["etag"]);
        Assert.Equal(first, Location(second, 1));
        Assert.Equal("revoked", (string?)(await sandbox.GetAsync($"/fhir/{first}")).Body["status"]);
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task Conditional_update_without_a_match_creates()
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { Updates = true });

        var body = await PostAsync(sandbox, Changed("a"));

        Assert.Equal("201 Created", (string?)body["entry"]![1]!["response"]!["status"]);
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task Same_update_again_creates_nothing_and_outlives_a_restart()
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { Updates = true });
        await PostAsync(sandbox, ReferralBundle.Of("a"));
        var first = Location(await PostAsync(sandbox, Changed("a")), 1);
        await sandbox.StopAsync();
        await sandbox.StartAgainAsync();

        await PostAsync(sandbox, Changed("a"));

        Assert.Equal("revoked", (string?)(await sandbox.GetAsync($"/fhir/{first}")).Body["status"]);
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task Receiver_that_only_creates_refuses_an_update_and_stores_nothing()
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { Updates = false });

        var (status, body) = await sandbox.PostAsync(Changed("a"));

        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Equal("not-supported", (string?)body["issue"]![0]!["code"]);
        Assert.Equal(0, await sandbox.CountAsync("Patient"));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Capability_statement_promises_what_the_receiver_does(bool updates)
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { Updates = updates });

        var resources = (await sandbox.GetAsync("/fhir/metadata")).Body["rest"]![0]!["resource"]!.AsArray();

        Assert.NotEmpty(resources);
        Assert.All(resources, resource => Assert.Equal(updates, (bool?)resource!["conditionalUpdate"] ?? false));
    }

    /// <summary>The referral with its request revoked, as an update by identifier.</summary>
    private static JsonObject Changed(string name)
    {
        var bundle = ReferralBundle.Of(name);
        var entry = bundle["entry"]![1]!;
        entry["resource"]!["status"] = "revoked";
        entry["request"] = new JsonObject { ["method"] = "PUT", ["url"] = $"ServiceRequest?{(string)entry["request"]!["ifNoneExist"]!}" };
        return bundle;
    }

    private static async Task<JsonObject> PostAsync(RunningSandbox sandbox, JsonObject bundle)
    {
        var (status, body) = await sandbox.PostAsync(bundle);
        Assert.True(status == HttpStatusCode.OK, body.ToJsonString());
        return body;
    }

    private static string Location(JsonObject response, int entry) => string.Join('/', ((string)response["entry"]![entry]!["response"]!["location"]!).Split('/')[..2]);
}
