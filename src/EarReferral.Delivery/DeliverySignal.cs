namespace EarReferral.Delivery;

/// <summary>Wakes every idle lane when something was queued, so that nothing polls busily.</summary>
public sealed class DeliverySignal
{
    private TaskCompletionSource _next = New();

    /// <summary>Says that there may be work. Call it after the transaction that queued the work was committed.</summary>
    public void Ring() => Interlocked.Exchange(ref _next, New()).SetResult();

    /// <summary>Completes at the next ring. Take it before looking for work, or a ring in between is missed.</summary>
    internal Task Next => Volatile.Read(ref _next).Task;

    private static TaskCompletionSource New() => new(TaskCreationOptions.RunContinuationsAsynchronously);
}
