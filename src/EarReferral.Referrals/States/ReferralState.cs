namespace EarReferral.Referrals.States;

/// <summary>One referral to one ENT system: delivery, authorisation and execution side by side, because none implies another.</summary>
/// <param name="TaskIdentifier">Business identifier of the Task that both sides share.</param>
/// <param name="Delivery">How far the message got.</param>
/// <param name="Authorisation">Whether the clinic still wants it.</param>
/// <param name="Execution">What the ENT system does with it.</param>
/// <param name="Business">Finer state of the work; null before anything was sent.</param>
/// <param name="Version">Newest version of the ENT system's Task that was applied; null before the first.</param>
/// <param name="HasOutput">True when the Task names a letter, report or appointment in <c>Task.output</c>.</param>
/// <param name="CancellationAsked">True from the moment the clinic sent an abort Task until the ENT system answered.</param>
public sealed record ReferralState(
    string TaskIdentifier,
    DeliveryState Delivery,
    AuthorisationStatus Authorisation,
    ExecutionStatus Execution,
    BusinessStatus? Business = null,
    TaskVersion? Version = null,
    bool HasOutput = false,
    bool CancellationAsked = false)
{
    /// <summary>
    /// True until the clinic itself ended the request. Rejected, failed, cancelled and did-not-attend end nothing here: the
    /// patient still needs somebody, so the clocks keep running.
    /// </summary>
    public bool SafetyNetOpen => Authorisation is not (AuthorisationStatus.Revoked or AuthorisationStatus.Completed or AuthorisationStatus.EnteredInError);

    /// <summary>True while sending is still wanted; asked again right before each attempt.</summary>
    public bool MayBeSent => Authorisation is AuthorisationStatus.Active;
}
