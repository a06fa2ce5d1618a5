namespace EarReferral.Delivery.Working;

/// <summary>When this process itself planned to look again; everything else is found by the longest sleep.</summary>
internal sealed class Agenda
{
    private readonly Lock _gate = new();
    private readonly PriorityQueue<DateTimeOffset, DateTimeOffset> _planned = new();

    /// <summary>Plans a look.</summary>
    public void Plan(DateTimeOffset time)
    {
        lock (_gate)
        {
            _planned.Enqueue(time, time);
        }
    }

    /// <summary>How long nothing is planned, at most the given time.</summary>
    public TimeSpan Sleep(DateTimeOffset now, TimeSpan longest)
    {
        lock (_gate)
        {
            while (_planned.TryPeek(out var time, out _) && time <= now)
            {
                _planned.Dequeue();
            }

            return _planned.TryPeek(out var next, out _) && next - now < longest ? next - now : longest;
        }
    }
}
