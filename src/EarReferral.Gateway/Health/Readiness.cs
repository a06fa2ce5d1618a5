using EarReferral.Storage;
using EarReferral.Validation;

namespace EarReferral.Gateway.Health;

/// <summary>Warms the validator in the background and says what is still missing before an encounter can be taken.</summary>
internal sealed class Readiness(ReferralValidator validator, Store store, ILogger<Readiness> logger, TimeProvider clock) : BackgroundService
{
    private readonly TaskCompletionSource warm = new(TaskCreationOptions.RunContinuationsAsynchronously);

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
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var begun = clock.GetTimestamp();
        await Task.Run(validator.WarmUp, stoppingToken);
        warm.SetResult();
        Log.ValidatorWarm(logger, (long)clock.GetElapsedTime(begun).TotalMilliseconds);
    }
}
