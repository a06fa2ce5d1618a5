using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.Escalation;

/// <summary>Who is told of an alarm in which order. It ends with an acknowledgement only: after the last step it begins anew.</summary>
/// <param name="Steps">The steps, at least one.</param>
public sealed record ContactList(IReadOnlyList<EscalationStep> Steps)
{
    /// <summary>Who is told at a step, counted from the raising of the alarm.</summary>
    /// <param name="step">How many steps were told before, from 0.</param>
    public EscalationStep At(int step) => Steps[step % Steps.Count];

    /// <summary>
    /// The channels to try at a step, in order: its own, then those of the steps after it. Whoever cannot be reached must not keep
    /// the next from being told.
    /// </summary>
    /// <param name="step">How many steps were told before, from 0.</param>
    public IReadOnlyList<string> Channels(int step) =>
        [.. Enumerable.Range(step, Steps.Count).SelectMany(each => At(each).Channels).Distinct(StringComparer.Ordinal)];
}

/// <summary>One step of a contact list.</summary>
/// <param name="Name">Who it is, for people.</param>
/// <param name="Channels">Ways to reach them, the first one first.</param>
/// <param name="Waits">How long they have to acknowledge, by urgency; what is not named takes <see cref="EscalationWaits"/>.</param>
public sealed record EscalationStep(string Name, IReadOnlyList<string> Channels, IReadOnlyDictionary<ReferralUrgency, TimeSpan> Waits)
{
    /// <summary>How long the step has before the next one is told.</summary>
    public TimeSpan Wait(ReferralUrgency urgency) => Waits.TryGetValue(urgency, out var wait) ? wait : EscalationWaits.Default(urgency);
}

/// <summary>How long a person has to acknowledge an alarm (our own choice, no source; each site sets its own).</summary>
public static class EscalationWaits
{
    /// <summary>The time where a site has set none.</summary>
    public static TimeSpan Default(ReferralUrgency urgency) => urgency switch
    {
        ReferralUrgency.Emergency => TimeSpan.FromMinutes(5),
        ReferralUrgency.Immediate => TimeSpan.FromMinutes(15),
        ReferralUrgency.Urgent or ReferralUrgency.SuspectedCancer => TimeSpan.FromHours(4),
        ReferralUrgency.Routine => TimeSpan.FromDays(1),
    };
}
