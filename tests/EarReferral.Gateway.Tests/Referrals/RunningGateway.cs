using System.Text;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using FhirTask = Hl7.Fhir.Model.Task;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>The real gateway on a free port with an empty store; no ENT system listens, so nothing is ever delivered.</summary>
public sealed class RunningGateway : IAsyncLifetime
{
    private readonly string baseUrl;

    public RunningGateway()
        : this("http://127.0.0.1:9/fhir")
    {
    }

    /// <summary>With an ENT system at another address.</summary>
    internal RunningGateway(string baseUrl) => this.baseUrl = baseUrl;

    public const string Destination = "westerquay-ent";

    /// <summary>A destination that no worker serves, so that a test alone decides about its sends.</summary>
    public const string Unserved = "eastmoor-ent";

    private static readonly DateTimeOffset Visit = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    private readonly string folder = Directory.CreateTempSubdirectory("ear-gateway-").FullName;
    private WebApplication? host;
    private int number;

    public HttpClient Client { get; } = new();

    /// <summary>Settings beside those of the demo.</summary>
    internal Dictionary<string, string?> Settings { get; } = [];

    internal DestinationStore Destinations => Get<DestinationStore>();

    public async ValueTask InitializeAsync() => await StartAsync(null);

    /// <summary>Starts it by another clock than the machine's.</summary>
    internal async Task StartAsync(TimeProvider? clock, Action<IServiceCollection>? replace = null)
    {
        var configuration = DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", folder, Once: true, AsJson: false));
        configuration[$"Delivery:Destinations:{Destination}:BaseUrl"] = baseUrl;
        foreach (var (key, value) in Settings)
        {
            configuration[key] = value;
        }

        host = GatewayHost.Build(new HostSettings("http://127.0.0.1:0", folder, configuration), services =>
        {
            if (clock is not null)
            {
                services.AddSingleton(clock);
            }

            replace?.Invoke(services);
        });
        await host.StartAsync(TestContext.Current.CancellationToken);
        Client.BaseAddress = new Uri(host.Urls.Single());
    }

    /// <summary>Stores a referral as the intake does.</summary>
    public async Task<(string ReferralId, string TaskId)> StoreAsync(string destination, bool hold = false)
    {
        var id = ++number;
        var (encounter, patient) = (Guid.CreateVersion7(), Guid.CreateVersion7());
        var (referralId, taskId) = (Guid.CreateVersion7().ToString(), Guid.CreateVersion7().ToString());
        var outcome = await Get<EncounterStore>().SaveAsync(
            new EncounterRevision(
                encounter, "harbour-lane", $"HL-{id}", 1, "1.0", "Europe/London", patient, null, $"{id}", "{}"u8.ToArray(), Visit, Visit, "triaged", "T3", false,
                "{}"u8.ToArray(), "{}"u8.ToArray(), null, [Request(referralId), Task(taskId, referralId)],
                new OutgoingReferral(
                    referralId, taskId, destination, "T3", 4, null, patient, "harbour-lane", null, Encoding.UTF8.GetBytes("{}"), "00", $"key-{id}", $"correlation-{id}", [], hold),
                []),
            TestContext.Current.CancellationToken);
        Assert.IsType<SaveOutcome.Saved>(outcome);
        return (referralId, taskId);
    }

    /// <summary>An attempt that ends with a person having to act.</summary>
    public async Task FailAsync()
    {
        var outbox = Get<Outbox>();
        var claim = await outbox.ClaimAsync(Unserved, Visit.AddMinutes(1), TimeSpan.FromMinutes(1), TestContext.Current.CancellationToken);
        await outbox.RecordAsync(
            claim!, new AttemptRecord(Visit, 422, "rejected-by-rule", null, 10), new SendDecision.NeedsHuman("refused"), Visit.AddMinutes(1), TestContext.Current.CancellationToken);
    }

    /// <summary>The receiver refuses what was claimed, with issues.</summary>
    public Task FailAsync(ClaimedSend claim, string issues)
    {
        var now = TimeProvider.System.GetUtcNow();
        return Get<Outbox>().RecordAsync(claim, new AttemptRecord(now, 422, "rejected-by-rule", issues, 10), new SendDecision.NeedsHuman("refused"), now, TestContext.Current.CancellationToken);
    }

    /// <summary>Posts a visit as a clinic does: again, as long as the gateway says that it is not ready.</summary>
    internal async Task<System.Net.HttpStatusCode> PostWhenReadyAsync(string encounter)
    {
        for (var attempt = 1; ; attempt++)
        {
            using var content = new StringContent(encounter, Encoding.UTF8, "application/json");
            using var posted = await Client.PostAsync(new Uri("/encounters", UriKind.Relative), content, TestContext.Current.CancellationToken);
            if (posted.StatusCode != System.Net.HttpStatusCode.ServiceUnavailable || attempt == 20)
            {
                return posted.StatusCode;
            }
        }
    }

    /// <summary>A file with a secret that only its owner may read.</summary>
    internal string Secret(string secret)
    {
        var path = Path.Combine(folder, $"{Guid.NewGuid():N}.secret");
        File.WriteAllText(path, secret);
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }
        return path;
    }

    internal string DatabaseFile => Path.Combine(folder, "ear-referral.db");

    internal EncounterStore Encounters => Get<EncounterStore>();

    internal AuditStore Audit => Get<AuditStore>();

    /// <summary>A worker takes the send of a destination that only this test uses, and holds it for an hour.</summary>
    public async Task<ClaimedSend> ClaimAsync(string destination) =>
        await Get<Outbox>().ClaimAsync(destination, TimeProvider.System.GetUtcNow(), TimeSpan.FromHours(1), TestContext.Current.CancellationToken)
        ?? throw new InvalidOperationException("Nothing to claim.");

    /// <summary>The receiver confirms that it stored what was claimed.</summary>
    public Task DeliverAsync(ClaimedSend claim)
    {
        var now = TimeProvider.System.GetUtcNow();
        return Get<Outbox>().RecordAsync(claim, new AttemptRecord(now, 200, "delivered", null, 10), new SendDecision.Delivered("[]"), now, TestContext.Current.CancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        Client.Dispose();
        if (host is not null)
        {
            await host.DisposeAsync();
        }

        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        Directory.Delete(folder, recursive: true);
    }

    internal static ServiceRequest Request(string id) => new()
    {
        Id = id,
        Status = RequestStatus.Active,
        Intent = RequestIntent.Order,
        Subject = new ResourceReference("Patient/1"),
    };

    internal static FhirTask Task(string id, string referralId) => new()
    {
        Id = id,
        Identifier = [new Identifier("https://ear-referral.example/identifier/resource", id)],
        Status = FhirTask.TaskStatus.Requested,
        Intent = FhirTask.TaskIntent.Order,
        Focus = new ResourceReference($"ServiceRequest/{referralId}"),
        For = new ResourceReference("Patient/1"),
        AuthoredOnElement = new FhirDateTime(Visit),
        LastModifiedElement = new FhirDateTime(Visit),
    };

    /// <summary>Ends the web server and nothing else.</summary>
    internal Task StopServerAsync() => Get<Microsoft.AspNetCore.Hosting.Server.IServer>().StopAsync(TestContext.Current.CancellationToken);

    /// <summary>A service, or the background service of that type.</summary>
    internal T Get<T>()
        where T : notnull => host!.Services.GetService<T>() ?? host.Services.GetServices<Microsoft.Extensions.Hosting.IHostedService>().OfType<T>().Single();
}
