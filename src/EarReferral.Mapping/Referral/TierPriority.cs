using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>The one table from urgency tier to FHIR request priority.</summary>
/// <remarks>
/// HL7 FHIR R4, code system request-priority: routine is normal, urgent above routine, asap above urgent, stat highest, "e.g. an emergency".
/// Four codes for five tiers: suspected cancer shares <c>urgent</c> and is told apart by its category. Some receivers flatten the codes,
/// so the deadline travels as data and as text besides.
/// </remarks>
public static class TierPriority
{
    /// <summary>Priority of a tier; null for a tier that makes no referral.</summary>
    public static RequestPriority? Of(Tier tier) => tier switch
    {
        Tier.T0 => RequestPriority.Stat,
        Tier.T1 => RequestPriority.Asap,
        Tier.T2 => RequestPriority.Urgent,
        Tier.T2C => RequestPriority.Urgent,
        Tier.T3 => RequestPriority.Routine,
        Tier.T4 => null,
    };
}
