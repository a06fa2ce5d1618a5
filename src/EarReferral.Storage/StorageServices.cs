using EarReferral.Storage.Alarms;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Search;
using EarReferral.Storage.Security;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace EarReferral.Storage;

/// <summary>Registration of the store.</summary>
public static class StorageServices
{
    /// <summary>Adds the tables of the token server.</summary>
    public static IServiceCollection AddAccessStorage(this IServiceCollection services, StorageOptions options)
    {
        _ = options.Provider == StorageProvider.Sqlite
            ? services.AddDbContext<AccessContext, SqliteAccessContext>(builder => SqliteAccessContext.Configure(builder, options))
            : services.AddDbContext<AccessContext, PostgresAccessContext>(builder => PostgresAccessContext.Configure(builder, options));
        return services.AddSingleton(provider => new AccessStore(provider.GetRequiredService<IServiceScopeFactory>(), options));
    }

    /// <summary>Adds the stores as singletons; each is safe to use from many threads.</summary>
    public static IServiceCollection AddStorage(this IServiceCollection services, StorageOptions options) => services
        .AddSingleton(_ => new StoreDatabase(options))
        .AddSingleton<SearchIndexState>()
        .AddSingleton(provider => new PageLinks(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new Store(
            provider.GetRequiredService<StoreDatabase>(), provider.GetRequiredService<SearchIndexState>(), provider.GetService<ILogger<Store>>() ?? NullLogger<Store>.Instance))
        .AddSingleton(provider => new IdentityStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new EncounterStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new HistoryStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new QuarantineStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new ResourceStore(provider.GetRequiredService<StoreDatabase>(), provider.GetRequiredService<SearchIndexState>()))
        .AddSingleton(provider => new ReferralStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new ReferralLines(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new OpenReferralList(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new NoticeStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new Outbox(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new SendControl(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new DestinationStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new AlarmStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new ChannelStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new RefusalStore(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new AuditSeals(provider.GetRequiredService<StoreDatabase>()))
        .AddSingleton(provider => new AuditStore(provider.GetRequiredService<StoreDatabase>()));
}
