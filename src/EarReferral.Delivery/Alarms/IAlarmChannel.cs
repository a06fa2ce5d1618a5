namespace EarReferral.Delivery.Alarms;

/// <summary>A way to tell somebody.</summary>
internal interface IAlarmChannel
{
    /// <summary>Tells it once.</summary>
    /// <returns>Whether it was taken, and a stable word for how it ended; never an exception for what the outside does.</returns>
    Task<ChannelOutcome> SendAsync(AlarmNotice notice, CancellationToken cancellationToken);
}

/// <summary>How telling ended.</summary>
/// <param name="Taken">True when the next system took it. Nobody need have read it.</param>
/// <param name="Word">Stable word.</param>
internal sealed record ChannelOutcome(bool Taken, string Word);
