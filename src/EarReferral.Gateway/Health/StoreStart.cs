using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Vocabulary;
using EarReferral.Storage;
using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Health;

/// <summary>Reads rule book, clinics and their code lists and brings the store up to date before any worker or request; what is broken stops the start, not a visit.</summary>
internal sealed class StoreStart(IServiceProvider services, Store store, ILogger<StoreStart> logger) : IHostedLifecycleService
{
    /// <inheritdoc />
    public Task StartingAsync(CancellationToken cancellationToken)
    {
        // Asked for here and not in the constructor: constructors of all that starts run before the validator begins to warm.
        var rules = services.GetRequiredService<RuleBook>();
        var clinics = services.GetRequiredService<ClinicDirectory>();
        _ = services.GetRequiredService<ClinicVocabularies>();
        Log.RulesAndClinicsRead(logger, rules.Version.Version, rules.Rules.Count, clinics.Count);
        return store.MigrateAsync(cancellationToken);
    }

    /// <inheritdoc />
    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StoppingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
