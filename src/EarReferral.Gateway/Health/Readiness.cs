using EarReferral.Storage;
using EarReferral.Validation;

namespace EarReferral.Gateway.Health;

/// <summary>Warms the validator in the background and says what is still missing before an encounter can be taken.</summary>
/// <remarks>Registered before everything else that starts, so that the validator warms on one core while the rules are read on another.</remarks>
internal sealed class Readiness(IServiceProvider services, Store store, ILogger<Readiness> logger, TimeProvider clock) : IHostedLifecycleService
{
    private readonly TaskCompletionSource warm = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private Task warming = Task.CompletedTask;

    /// <summary>What is missing, in words; empty when ready.</summary>
    public async Task<IReadOnlyList<string>> MissingAsync(CancellationToken stop)
    {
        var missing = new List<string>();
        if (!warm.Task.IsCompletedSuccessfully)
        {
            missing.Add("the validator is still warming up");
        }

        if (!await store.IsWritableAsync(stop))
        {
            missing.Add("the store cannot be written");
        }

        return missing;
    }

    /// <summary>Waits for the validator for at most <paramref name="patience"/>; false when it is still not warm.</summary>
    public async Task<bool> IsWarmWithinAsync(TimeSpan patience, CancellationToken stop)
    {
        if (warm.Task.IsCompletedSuccessfully)
        {
            return true;
        }

        var first = await Task.WhenAny(warm.Task, Task.Delay(patience, clock, stop));
        return first == warm.Task && warm.Task.IsCompletedSuccessfully;
    }

    /// <inheritdoc />
    public Task StartingAsync(CancellationToken cancellationToken)
    {
        warming = Task.Run(Warm, cancellationToken);
        return Task.CompletedTask;
    }

    /// <inheritdoc />
    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StoppingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StopAsync(CancellationToken cancellationToken) => warming.WaitAsync(cancellationToken);

    /// <inheritdoc />
    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private void Warm()
    {
        var begun = clock.GetTimestamp();
        try
        {
            var rehearsal = services.GetRequiredService<Rehearsal>();

            // Reading the profiles takes one core; the stages before them are rehearsed on the other.
            var validator = services.GetRequiredService<Lazy<ReferralValidator>>();
            Parallel.Invoke(() => _ = validator.Value, rehearsal.RunUpToDecision);
            Log.ProfilesRead(logger, (long)clock.GetElapsedTime(begun).TotalMilliseconds);
            var rehearsed = rehearsal.Run();
            if (rehearsed is { Report.IsValid: false })
            {
                // Not a reason to refuse: what comes is kept in quarantine and the urgent is phoned. But somebody must know before that.
                Log.RehearsalNotValid(logger);
            }

            if (rehearsed is null)
            {
                validator.Value.WarmUp();
            }

            warm.SetResult();
            Log.Rehearsed(logger, (long)clock.GetElapsedTime(begun).TotalMilliseconds);

            // What a visit needs is compiled by now; the profiles that only other people's bundles use follow while the first visits come in.
            validator.Value.WarmUp();
            Log.ValidatorWarm(logger, (long)clock.GetElapsedTime(begun).TotalMilliseconds);
        }
#pragma warning disable CA1031 // Whatever breaks the profiles, the process must go on saying that it is not ready, and why.
        catch (Exception broken)
#pragma warning restore CA1031
        {
            warm.TrySetException(broken);
            Log.ValidatorBroken(logger, broken.GetType().Name);
        }
    }
}
