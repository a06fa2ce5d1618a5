using System.Diagnostics;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests.Processes;

/// <summary>A gateway and a stand-in ENT receiver on loopback with a folder of their own.</summary>
internal sealed class World : IAsyncDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-journey-").FullName;
    private readonly int port = ServiceProcess.FreePort();
    private ServiceProcess? gateway;
    private ServiceProcess? sandbox;

    private World()
    {
    }

    // Long enough for a machine that is busy with other work: a journey is about what happens, not how fast.
    public HttpClient Http { get; } = new() { Timeout = TimeSpan.FromMinutes(2) };

    public string Gateway => $"http://127.0.0.1:{port}";

    public string Sandbox => $"http://127.0.0.1:{port + 1}";

    public string DataFolder => Path.Combine(folder, "gateway");

    /// <summary>What the gateway printed so far.</summary>
    public string GatewayOutput => gateway?.Output ?? "";

    /// <summary>Starts both and waits until the gateway is ready.</summary>
    public static async Task<World> StartAsync(CancellationToken stop, string acknowledgeAfter = "200ms", string acceptAfter = "never", string updates = "yes")
    {
        var world = new World();
        try
        {
            world.sandbox = ServiceProcess.Start("EarReferral.Sandbox", ["--urls", world.Sandbox, "--data", Path.Combine(world.folder, "ent"), "--callback", $"{world.Gateway}/fhir", "--acknowledge-after", acknowledgeAfter, "--accept-after", acceptAfter, "--updates", updates]);
            await world.sandbox.AnswersAsync(world.Http, new Uri($"{world.Sandbox}/fhir/metadata"), stop);
            await world.StartGatewayAsync(stop);
            return world;
        }
        catch
        {
            // Nobody else can end what was started: the caller gets no world to dispose of.
            await world.DisposeAsync();
            throw;
        }
    }

    /// <summary>A folder and ports; neither program runs, and nobody listens where referrals would go.</summary>
    public static World Unstarted() => new();

    /// <summary>Starts the gateway on the same folder and waits until it is ready.</summary>
    public async Task StartGatewayAsync(CancellationToken stop)
    {
        LaunchGateway();
        await ReadyAsync(stop);
    }

    /// <summary>Starts the gateway on the same folder without waiting for anything.</summary>
    public void LaunchGateway() => gateway = ServiceProcess.Start("EarReferral.Gateway", ["serve", "--urls", Gateway, "--data", DataFolder], new Dictionary<string, string>
    {
        ["ASPNETCORE_ENVIRONMENT"] = "Development",
        ["Security__LocalCaller"] = "true",
        ["Gateway__AllowTestNhsNumbers"] = "true",
        ["Clinics__harbour-lane__Name"] = "Harbour Lane Ear Care",
        ["Clinics__harbour-lane__EntDestination"] = "westerquay-ent",
        ["Delivery__Destinations__westerquay-ent__Name"] = "Westerquay General, ENT department",
        ["Delivery__Destinations__westerquay-ent__OdsCode"] = "WQG07",
        ["Delivery__Destinations__westerquay-ent__Phone"] = "01632 960 107",
        ["Delivery__Destinations__westerquay-ent__BaseUrl"] = $"{Sandbox}/fhir",
    });

    /// <summary>Waits until the gateway says that it is ready.</summary>
    public Task ReadyAsync(CancellationToken stop) => gateway!.AnswersAsync(Http, new Uri($"{Gateway}/health/ready"), stop);

    /// <summary>Kills the gateway without warning.</summary>
    public Task KillGatewayAsync() => gateway!.KillAsync();

    /// <summary>An example encounter by the start of its file name.</summary>
    public static JsonObject Example(string start) =>
        JsonNode.Parse(File.ReadAllText(Directory.GetFiles(Repository.At("examples", "encounters"), start + "*.json").Single()))!.AsObject();

    /// <summary>An example under an encounter number of its own, so that tests do not meet.</summary>
    public static JsonObject Fresh(string start)
    {
        var document = Example(start);
        document["encounterId"] = $"{(string)document["encounterId"]!}-{Guid.NewGuid():N}";
        return document;
    }

    /// <summary>Posts a document to the intake.</summary>
    public async Task<(int Status, JsonObject Body)> PostAsync(JsonNode document, CancellationToken stop, string path = "/encounters")
    {
        using var body = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json");
        using var answer = await Http.PostAsync(new Uri(Gateway + path), body, stop);
        return ((int)answer.StatusCode, (await answer.Content.ReadFromJsonAsync<JsonObject>(stop))!);
    }

    /// <summary>Reads a JSON document.</summary>
    public async Task<(int Status, JsonObject? Body)> GetAsync(string address, CancellationToken stop)
    {
        using var answer = await Http.GetAsync(new Uri(address.StartsWith("http", StringComparison.Ordinal) ? address : Gateway + address), stop);
        var text = await answer.Content.ReadAsStringAsync(stop);
        return ((int)answer.StatusCode, text.Length == 0 ? null : JsonNode.Parse(text)!.AsObject());
    }

    /// <summary>Tells the receiver how to misbehave.</summary>
    public async Task FaultAsync(object fault, CancellationToken stop)
    {
        using var answer = await Http.PostAsJsonAsync(new Uri($"{Sandbox}/sandbox/faults"), fault, stop);
        answer.EnsureSuccessStatusCode();
    }

    /// <summary>How many resources with our identifier the receiver holds, found by its own search.</summary>
    public async Task<int> AtReceiverAsync(string type, string id, CancellationToken stop)
    {
        var identifier = Uri.EscapeDataString($"https://ear-referral.example/identifier/resource|{id}");
        var (_, found) = await GetAsync($"{Sandbox}/fhir/{type}?identifier={identifier}", stop);
        return found!["entry"]?.AsArray().Count ?? 0;
    }

    /// <summary>Everything in the data folder as text; the gateway must not be running.</summary>
    public async Task<string> StoredTextAsync(CancellationToken stop)
    {
        var text = new StringBuilder();
        foreach (var file in Directory.GetFiles(DataFolder, "*", SearchOption.AllDirectories))
        {
            text.Append(Encoding.Latin1.GetString(await File.ReadAllBytesAsync(file, stop)));
        }

        return text.ToString();
    }

    /// <summary>Waits until something holds, for at most a minute.</summary>
    public static async Task<bool> UntilAsync(Func<Task<bool>> holds, CancellationToken stop, TimeSpan? every = null)
    {
        for (var begun = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(begun) < TimeSpan.FromMinutes(1);)
        {
            if (await holds())
            {
                return true;
            }

            await Task.Delay(every ?? TimeSpan.FromMilliseconds(200), stop);
        }

        return false;
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        if (gateway is not null)
        {
            await gateway.DisposeAsync();
        }

        if (sandbox is not null)
        {
            await sandbox.DisposeAsync();
        }

        Http.Dispose();
        Directory.Delete(folder, recursive: true);
    }
}
