using System.Security.Cryptography;
using System.Text;
using EarReferral.Delivery.Working;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Delivery.Tests.Fixtures;

/// <summary>A real SQLite store, the real delivery, a scripted receiver and a clock that only the test moves.</summary>
internal sealed class DeliveryFixture : IAsyncDisposable
{
    public const string Destination = "westerquay-ent";
    public static readonly TimeSpan Lease = TimeSpan.FromSeconds(30);
    public static readonly DateTimeOffset Start = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);
    private static readonly Reach Everywhere = new Reach.Everything("test");

    private readonly string _folder;
    private readonly Func<EntReceiver, Uri>? _address;
    private ServiceProvider? _services;
    private int _number;

    private readonly IReadOnlyDictionary<string, string?> _settings;

    private DeliveryFixture(string folder, Func<EntReceiver, Uri>? address, IReadOnlyDictionary<string, string?>? settings) =>
        (_folder, _address, _settings) = (folder, address, settings ?? new Dictionary<string, string?>());

    public EntReceiver Receiver { get; } = new();

    public FakeTimeProvider Clock { get; } = new(Start);

    public Agenda Agenda { get; } = new();

    public Outbox Outbox => Get<Outbox>();

    public ReferralStore Referrals => Get<ReferralStore>();

    public DestinationStore Destinations => Get<DestinationStore>();

    private IServiceProvider Services => _services ?? throw new InvalidOperationException("The fixture is not started.");

    public static async Task<DeliveryFixture> StartAsync(Func<EntReceiver, Uri>? address = null, IReadOnlyDictionary<string, string?>? settings = null)
    {
        var fixture = new DeliveryFixture(Directory.CreateTempSubdirectory("delivery-").FullName, address, settings);
        fixture._services = fixture.Build();
        await fixture.Get<Store>().MigrateAsync(TestContext.Current.CancellationToken);
        return fixture;
    }

    /// <summary>A second process on the same store and the same clock.</summary>
    public ServiceProvider SecondNode() => Build();

    public T Get<T>()
        where T : notnull => Services.GetRequiredService<T>();

    /// <summary>Stores an encounter with a referral to send, decided so long before it was posted; returns its id.</summary>
    public async Task<string> QueueAsync(string tier = "T1", string? body = null, string? correlationId = null, TimeSpan late = default)
    {
        var cancellation = TestContext.Current.CancellationToken;
        var number = ++_number;
        var seeds = await Get<IdentityStore>().ResolveAsync("harbour-lane", $"HL-{number}", $"P-{number}", "ANP-1", cancellation);
        var referralId = Guid.CreateVersion7().ToString();
        var taskId = Guid.CreateVersion7().ToString();
        var bytes = Encoding.UTF8.GetBytes(body ?? Transaction(referralId));
        var now = Clock.GetUtcNow();
        var outcome = await Get<EncounterStore>().SaveAsync(
            new EncounterRevision(
                seeds.Encounter, "harbour-lane", $"HL-{number}", 1, "1", "Europe/London", seeds.Patient, null, new string('a', 64), bytes, now, now - late, "triaged", tier, false,
                new byte[] { 1 }, new byte[] { 1 }, null, [Request(referralId), new Hl7.Fhir.Model.Task { Id = taskId, Status = Hl7.Fhir.Model.Task.TaskStatus.Requested, Intent = Hl7.Fhir.Model.Task.TaskIntent.Order }],
                new OutgoingReferral(
                    referralId, taskId, Destination, tier, tier == "T0" ? 0 : 1, now.AddHours(24), seeds.Patient, "harbour-lane", null, bytes,
                    Convert.ToHexStringLower(SHA256.HashData(bytes)), Guid.CreateVersion7().ToString(), correlationId ?? Guid.CreateVersion7().ToString(), [], false),
                []),
            cancellation);
        Assert.IsType<SaveOutcome.Saved>(outcome);
        return referralId;
    }

    /// <summary>One attempt of one lane.</summary>
    public Task<bool> DeliverAsync(ServiceProvider? node = null) => (node ?? Services).GetRequiredService<Courier>().DeliverNextAsync(
        Destination, Options(node ?? Services).Destinations[Destination], Agenda, TestContext.Current.CancellationToken);

    /// <summary>Moves the clock to the planned next attempt and makes it.</summary>
    public async Task<TimeSpan> DeliverWhenPlannedAsync()
    {
        var wait = Agenda.Sleep(Clock.GetUtcNow(), TimeSpan.FromDays(60));
        Clock.Advance(wait);
        Assert.True(await DeliverAsync());
        return wait;
    }

    /// <summary>The clinic takes a referral back: a newer revision of its encounter carries the ServiceRequest as revoked.</summary>
    public async Task RevokeAsync(string referralId)
    {
        var cancellation = TestContext.Current.CancellationToken;
        var referral = await FindAsync(referralId);
        var encounter = await Get<EncounterStore>().FindAsync(Everywhere, referral.EncounterKey, cancellation) ?? throw new InvalidOperationException("Not stored.");
        var request = Request(referralId);
        request.Status = RequestStatus.Revoked;
        var outcome = await Get<EncounterStore>().SaveAsync(
            new EncounterRevision(
                encounter.EncounterKey, "harbour-lane", encounter.ClinicEncounterId, 2, "1", "Europe/London", encounter.PatientKey, null, new string('b', 64),
                new byte[] { 2 }, Clock.GetUtcNow(), Clock.GetUtcNow(), "triaged", "T1", false, new byte[] { 1 }, new byte[] { 1 }, null, [request], null, []),
            cancellation);
        Assert.IsType<SaveOutcome.Saved>(outcome);
    }

    /// <summary>A correction of the visit, decided now, asks for the referral with another urgency.</summary>
    public async Task CorrectAsync(string referralId, string tier)
    {
        var referral = await FindAsync(referralId);
        var encounter = await Get<EncounterStore>().FindAsync(Everywhere, referral.EncounterKey, TestContext.Current.CancellationToken) ?? throw new InvalidOperationException("Not stored.");
        var outcome = await Get<EncounterStore>().SaveAsync(
            new EncounterRevision(
                encounter.EncounterKey, "harbour-lane", encounter.ClinicEncounterId, encounter.Revision + 1, "1", "Europe/London", encounter.PatientKey, null, new string('c', 64),
                new byte[] { 3 }, Clock.GetUtcNow(), Clock.GetUtcNow(), "triaged", tier, false, new byte[] { 1 }, new byte[] { 1 }, null, [Request(referralId)],
                new OutgoingReferral(
                    referralId, referral.TaskId, Destination, tier, 0, Clock.GetUtcNow().AddHours(4), encounter.PatientKey, "harbour-lane", null, new byte[] { 3 }, new string('c', 64), "key-c", "correlation-c", [], false),
                []),
            TestContext.Current.CancellationToken);
        Assert.IsType<SaveOutcome.Saved>(outcome);
    }

    /// <summary>The receiver's Task of a referral is cancelled while the referral still waits.</summary>
    public async Task CancelAsync(string referralId)
    {
        var referral = await FindAsync(referralId);
        var task = new Hl7.Fhir.Model.Task
        {
            Id = referral.TaskId,
            Status = Hl7.Fhir.Model.Task.TaskStatus.Cancelled,
            Intent = Hl7.Fhir.Model.Task.TaskIntent.Order,
        };
        var outcome = await Referrals.ApplyTaskUpdateAsync(
            Everywhere, referral.TaskId, 1, task, "cancelled", null, new ReferralEvent(Clock.GetUtcNow(), "task-updated", "test"), TestContext.Current.CancellationToken);
        Assert.IsType<TaskUpdateOutcome.Applied>(outcome);
    }

    public async Task<ReferralState> StateAsync(string referralId) => (await FindAsync(referralId)).State;

    public async Task<StoredReferral> FindAsync(string referralId) =>
        await Referrals.FindAsync(Everywhere, referralId, TestContext.Current.CancellationToken) ?? throw new InvalidOperationException("Not stored.");

    public async Task<IReadOnlyList<AttemptRecord>> AttemptsAsync(string referralId) =>
        [.. (await Outbox.AttemptsAsync(Everywhere, referralId, TestContext.Current.CancellationToken)).Select(stored => stored.Attempt)];

    public async Task<IReadOnlyList<string>> OutcomesAsync(string referralId) => [.. (await AttemptsAsync(referralId)).Select(attempt => attempt.Outcome)];

    public async Task<IReadOnlyList<ReferralEvent>> TimelineAsync(string referralId) =>
        await Referrals.TimelineAsync(Everywhere, referralId, TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        Receiver.Dispose();
        if (_services is not null)
        {
            await _services.DisposeAsync();
        }

        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        Directory.Delete(_folder, recursive: true);
    }

    private static DeliveryOptions Options(IServiceProvider services) =>
        services.GetRequiredService<Microsoft.Extensions.Options.IOptions<DeliveryOptions>>().Value;

    private static ServiceRequest Request(string id) => new()
    {
        Id = id,
        Status = RequestStatus.Active,
        Intent = RequestIntent.Order,
        Subject = new ResourceReference("Patient/1"),
    };

    private static string Transaction(string referralId) => $$$"""
        {"resourceType":"Bundle","type":"transaction","entry":[
          {"fullUrl":"urn:uuid:1","resource":{"resourceType":"Patient"},"request":{"method":"POST","url":"Patient"}},
          {"fullUrl":"urn:uuid:2","resource":{"resourceType":"ServiceRequest","identifier":[{"system":"https://ear-referral.example/identifier/resource","value":"{{{referralId}}}"}]},"request":{"method":"POST","url":"ServiceRequest"}},
          {"fullUrl":"urn:uuid:3","resource":{"resourceType":"Task"},"request":{"method":"POST","url":"Task"}}]}
        """;

    private ServiceProvider Build()
    {
        var configuration = new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?>
        {
            ["Delivery:Lease"] = Lease.ToString(),
            [$"Delivery:Destinations:{Destination}:BaseUrl"] = (_address?.Invoke(Receiver) ?? Receiver.BaseUrl).AbsoluteUri,
            [$"Delivery:Destinations:{Destination}:Phone"] = "01632 960123",
            [$"Delivery:Destinations:{Destination}:OdsCode"] = "WQG07",
            [$"Delivery:Destinations:{Destination}:Name"] = "Westerquay General, ENT department",
        }).AddInMemoryCollection(_settings.Select(setting => KeyValuePair.Create(setting.Key, setting.Value?.Replace("{receiver}", Receiver.BaseUrl.GetLeftPart(UriPartial.Authority), StringComparison.Ordinal)))).Build();
        return new ServiceCollection()
            .AddLogging()
            .AddSingleton<TimeProvider>(Clock)
            .AddStorage(new StorageOptions { DataFolder = _folder })
            .AddDelivery(configuration)
            .BuildServiceProvider();
    }
}
