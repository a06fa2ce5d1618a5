using System.Threading.Channels;

namespace EarReferral.Delivery;

/// <summary>Wakes the delivery worker when something was queued, so that nothing polls busily.</summary>
public sealed class DeliverySignal
{
    private readonly Channel<bool> _bell = Channel.CreateBounded<bool>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });

    /// <summary>Says that there may be work. Call it after the transaction that queued the work was committed.</summary>
    public void Ring() => _bell.Writer.TryWrite(true);

    internal async Task WaitAsync(TimeSpan longest, TimeProvider clock, CancellationToken cancellationToken)
    {
        if (longest <= TimeSpan.Zero)
        {
            return;
        }

        using var either = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var rung = _bell.Reader.ReadAsync(either.Token).AsTask();
        var slept = Task.Delay(longest, clock, either.Token);
        await Task.WhenAny(rung, slept);
        await either.CancelAsync();
        await Task.WhenAll(rung, slept).ContinueWith(static _ => { }, CancellationToken.None, TaskContinuationOptions.ExecuteSynchronously, TaskScheduler.Default);
        cancellationToken.ThrowIfCancellationRequested();
    }
}
