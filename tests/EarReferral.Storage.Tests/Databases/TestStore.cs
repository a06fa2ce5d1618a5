using EarReferral.Storage.Alarms;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Storage.Tests.Databases;

/// <summary>A store with its own empty database.</summary>
public sealed class TestStore : IAsyncDisposable
{
    private readonly ServiceProvider services;
    private readonly Func<Task> remove;

    public TestStore(StorageOptions options, Func<Task> remove)
    {
        services = new ServiceCollection().AddStorage(options).BuildServiceProvider();
        this.remove = remove;
    }

    public Store Store => services.GetRequiredService<Store>();

    public IdentityStore Identities => services.GetRequiredService<IdentityStore>();

    public EncounterStore Encounters => services.GetRequiredService<EncounterStore>();

    public HistoryStore Histories => services.GetRequiredService<HistoryStore>();

    public QuarantineStore Quarantine => services.GetRequiredService<QuarantineStore>();

    public ResourceStore Resources => services.GetRequiredService<ResourceStore>();

    public ReferralStore Referrals => services.GetRequiredService<ReferralStore>();

    public OpenReferralList OpenReferrals => services.GetRequiredService<OpenReferralList>();

    public Outbox Outbox => services.GetRequiredService<Outbox>();

    public DestinationStore Destinations => services.GetRequiredService<DestinationStore>();

    public AlarmStore Alarms => services.GetRequiredService<AlarmStore>();

    public ChannelStore Channels => services.GetRequiredService<ChannelStore>();

    public RefusalStore Refusals => services.GetRequiredService<RefusalStore>();

    public AuditStore Audit => services.GetRequiredService<AuditStore>();

    public EarReferral.Storage.Search.PageLinks PageLinks => services.GetRequiredService<EarReferral.Storage.Search.PageLinks>();

    internal StoreDatabase Database => services.GetRequiredService<StoreDatabase>();

    public async ValueTask DisposeAsync()
    {
        await services.DisposeAsync();
        await remove();
    }
}
