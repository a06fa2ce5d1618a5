using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;
using EarReferral.Validation;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Gateway.Tests.Quarantine;

/// <summary>A release of ours with a broken profile takes a battery in an ear (T0); the next release lets the record go.</summary>
public sealed class QuarantineTests : IDisposable
{
    private static readonly object Asked = new { person = "Perran Vose", reason = "Version 1.0.1 mends ear-broken-1." };

    private readonly string folder = Directory.CreateTempSubdirectory("ear-quarantine-").FullName;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task RecordThatFailsOurProfiles_IsKeptPhonedShownAndReleasedOnce()
    {
        string id;
        byte[] firstReceipt;
        await using (var broken = await StartAsync(BrokenProfile.Load()))
        {
            using var client = Client(broken);
            using var posted = await PostAsync(client, "07-button-battery-in-child.json");
            firstReceipt = await posted.Content.ReadAsByteArrayAsync(Stop);
            var receipt = JsonNode.Parse(firstReceipt)!;

            Assert.Equal(HttpStatusCode.Created, posted.StatusCode);
            Assert.Equal(("quarantined", true, "T0"), ((string)receipt["state"]!, (bool)receipt["phoneNow"]!, (string)receipt["decision"]!["tier"]!));
            Assert.NotEmpty(receipt["phoneFirst"]!.AsArray());
            Assert.Equal([BrokenProfile.Rule], receipt["issues"]!.AsArray().Select(issue => (string)issue!["rule"]!).Distinct());
            Assert.Null(receipt["referral"]);

            var matter = Assert.Single((await ReadAsync(client, "/attention"))["items"]!.AsArray(), each => (string)each!["kind"]! == "quarantined")!;
            Assert.Equal("T0", (string)matter["tier"]!);

            var listed = Assert.Single((await ReadAsync(client, "/quarantine"))["items"]!.AsArray())!;
            id = (string)listed["id"]!;
            Assert.Equal(("quarantined", "T0", true, 1), ((string)listed["state"]!, (string)listed["tier"]!, (bool)listed["phoneNow"]!, (int)listed["checks"]!));
            Assert.Equal([BrokenProfile.Rule], listed["rules"]!.AsArray().Select(rule => (string)rule!));
            Assert.DoesNotContain("seventy-seven", listed.ToJsonString(), StringComparison.Ordinal);

            var issue = (await ReadAsync(client, $"/quarantine/{id}"))["checks"]![0]!["issues"]![0]!;
            Assert.Equal(("error", BrokenProfile.Rule), ((string)issue["severity"]!, (string)issue["rule"]!));
            Assert.Contains("resource", (string)issue["location"]!, StringComparison.Ordinal);

            // Nothing was mended: it stays, and the look is kept with the name.
            var (status, still) = await RevalidateAsync(client, id, Asked);
            Assert.Equal((HttpStatusCode.OK, "quarantined", 2), (status, (string)still["record"]!["state"]!, (int)still["record"]!["checks"]!));
            Assert.Equal(("Perran Vose", false), ((string)still["checks"]![1]!["person"]!, (bool)still["checks"]![1]!["passed"]!));
            Assert.Empty((await ReadAsync(client, "/referrals"))["items"]!.AsArray());
            Assert.Equal(0, (int)(await ReadAsync(client, "/fhir/Procedure?patient.identifier=https%3A%2F%2Ffhir.nhs.uk%2FId%2Fnhs-number%7C9990000190&_summary=count"))["total"]!);
        }

        await using var mended = await StartAsync(null);
        using var operatorsClient = Client(mended);
        var (listCode, listText) = await RunAsync(operatorsClient, "list");
        var (showCode, showText) = await RunAsync(operatorsClient, "show", id);
        Assert.Equal((0, 0), (listCode, showCode));
        Assert.Contains($"{id}  T0   quarantined  2 look(s)  {BrokenProfile.Rule}  PHONE NOW", listText, StringComparison.Ordinal);
        Assert.Contains($"error {BrokenProfile.Rule} at ", showText, StringComparison.Ordinal);
        Assert.Contains("refused, asked for by Perran Vose", showText, StringComparison.Ordinal);
        Assert.Contains((await ReadAsync(operatorsClient, "/attention"))["items"]!.AsArray(), each => (string)each!["kind"]! == "quarantined");

        var looks = await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => RevalidateAsync(operatorsClient, id, Asked)));

        Assert.All(looks, look => Assert.Equal((HttpStatusCode.OK, "released", 3), (look.Status, (string)look.Body["record"]!["state"]!, (int)look.Body["record"]!["checks"]!)));
        Assert.Single((await ReadAsync(operatorsClient, "/referrals"))["items"]!.AsArray());
        Assert.Empty((await ReadAsync(operatorsClient, "/quarantine"))["items"]!.AsArray());
        Assert.DoesNotContain((await ReadAsync(operatorsClient, "/attention"))["items"]!.AsArray(), each => (string)each!["kind"]! == "quarantined");
        var now = await ReadAsync(operatorsClient, $"/encounters/{id}");
        Assert.Equal("Perran Vose", (string)now["released"]!["person"]!);
        Assert.NotEqual("quarantined", (string)now["state"]!);
        Assert.Equal("T0", (string)now["decision"]!["tier"]!);
        Assert.True((bool)now["phoneNow"]!);
        Assert.Equal("document", (string)(await ReadAsync(operatorsClient, new Uri((string)now["summary"]!).PathAndQuery))["type"]!);

        var (releaseCode, releaseText) = await RunAsync(operatorsClient, "revalidate", id, "--person", "Perran Vose", "--reason", "Asked twice.");
        Assert.Equal(0, releaseCode); // asking again changes nothing and says how it stands
        Assert.Contains("released", releaseText, StringComparison.Ordinal);
        Assert.Contains("passed, asked for by Perran Vose", releaseText, StringComparison.Ordinal);

        // The clinic's repeat gets what stands now, and makes nothing new.
        using var repeated = await PostAsync(operatorsClient, "07-button-battery-in-child.json");
        Assert.Equal(HttpStatusCode.OK, repeated.StatusCode);
        Assert.NotEqual(firstReceipt, await repeated.Content.ReadAsByteArrayAsync(Stop));
        Assert.Single((await ReadAsync(operatorsClient, "/referrals"))["items"]!.AsArray());
    }

    [Fact]
    public async Task RequestWithoutName_OrForWhatWasNeverThere_ChangesNothing()
    {
        await using var gateway = await StartAsync(null);
        using var client = Client(gateway);

        var (refused, body) = await RevalidateAsync(client, Guid.Empty.ToString(), new { person = " " });
        var (missing, _) = await RevalidateAsync(client, Guid.Empty.ToString(), Asked);

        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused);
        Assert.Equal(["quarantine.person-missing", "quarantine.reason-missing"], body["errors"]!.AsArray().Select(error => (string)error!["id"]!));
        Assert.Equal(HttpStatusCode.NotFound, missing);
    }

    public void Dispose()
    {
        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        Directory.Delete(folder, recursive: true);
    }

    private async Task<WebApplication> StartAsync(ProfileSet? profiles)
    {
        var configuration = DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", folder, Once: true, AsJson: false));
        configuration[$"Delivery:Destinations:{RunningGateway.Destination}:BaseUrl"] = "http://127.0.0.1:9/fhir";
        var host = GatewayHost.Build(
            new HostSettings("http://127.0.0.1:0", folder, configuration),
            services => _ = profiles is null ? services : services.AddSingleton(profiles));
        await host.StartAsync(Stop);
        return host;
    }

    private static async Task<(int Code, string Results)> RunAsync(HttpClient client, params string[] line)
    {
        await using var results = new StringWriter();
        await using var complaints = new StringWriter();
        var urls = new System.CommandLine.Option<string>("--urls") { DefaultValueFactory = _ => client.BaseAddress!.ToString() };
        var code = await EarReferral.Gateway.CommandLine.QuarantineCommand.Create(urls, results, complaints).Parse(line).InvokeAsync(cancellationToken: Stop);
        return (code, results + complaints.ToString());
    }

    private static HttpClient Client(WebApplication host) => new() { BaseAddress = new Uri(host.Urls.Single()) };

    private static Task<HttpResponseMessage> PostAsync(HttpClient client, string example) =>
        OnceWarmAsync(async () => await client.PostAsync(
            new Uri("/encounters", UriKind.Relative),
            new ByteArrayContent(await File.ReadAllBytesAsync(Repository.At("examples", "encounters", example), Stop)) { Headers = { ContentType = new("application/json") } },
            Stop));

    private static async Task<JsonNode> ReadAsync(HttpClient client, string path) =>
        JsonNode.Parse(await client.GetStringAsync(new Uri(path, UriKind.Relative), Stop))!;

    private static async Task<(HttpStatusCode Status, JsonNode Body)> RevalidateAsync(HttpClient client, string id, object asked)
    {
        using var response = await OnceWarmAsync(() => client.PostAsJsonAsync(new Uri($"/quarantine/{id}/revalidate", UriKind.Relative), asked, Stop));
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!);
    }

    /// <summary>The validator warms up; a client does the same as Retry-After says.</summary>
    private static async Task<HttpResponseMessage> OnceWarmAsync(Func<Task<HttpResponseMessage>> send)
    {
        for (var tries = 0; ; tries++)
        {
            var response = await send();
            if (response.StatusCode != HttpStatusCode.ServiceUnavailable || tries == 60)
            {
                return response;
            }

            response.Dispose();
            await Task.Delay(TimeSpan.FromSeconds(1), Stop);
        }
    }
}
