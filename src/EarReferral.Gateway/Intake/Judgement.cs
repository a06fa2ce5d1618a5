using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Encounters;
using EarReferral.Gateway.Configuration;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Referrals.LaterVisits;
using EarReferral.Triage.Decisions;
using EarReferral.Validation;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Intake;

/// <summary>Everything the pure stages say about one encounter.</summary>
/// <param name="Encounter">The encounter as read.</param>
/// <param name="Record">Its resources.</param>
/// <param name="Decision">What the rules say.</param>
/// <param name="Referral">What the decision refers, where it does.</param>
/// <param name="Summary">The GP summary.</param>
/// <param name="Resources">All resources to keep, in a fixed order.</param>
/// <param name="Request">Bytes of the outgoing bundle, where there is a referral.</param>
/// <param name="Destination">Where it goes, by its name in the configuration.</param>
/// <param name="DestinationOptions">What is configured for it.</param>
/// <param name="Contact">Whom to telephone there at the moment of the judgement.</param>
/// <param name="ClinicOptions">What is configured for the clinic.</param>
/// <param name="History">Earlier visits that it was decided with.</param>
/// <param name="Report">What our own profiles say.</param>
internal sealed record Judgement(
    ClinicEncounter Encounter,
    EncounterRecord Record,
    TriageDecision Decision,
    ReferralResources? Referral,
    Composition Summary,
    IReadOnlyList<Resource> Resources,
    byte[]? Request,
    string Destination,
    DestinationOptions DestinationOptions,
    Contact Contact,
    ClinicOptions ClinicOptions,
    KnownHistory History,
    ValidationReport Report)
{
    /// <summary>What the visit is to a referral of an earlier one that is open; null when none is.</summary>
    public LaterVisit? LaterVisit { get; init; }

    /// <summary>What a referral of it rests on: rule and ear, such as <c>R-CA-05/left</c>.</summary>
    public IReadOnlyList<string> Concerns { get; init; } = [];

    /// <summary>The urgency that is acted on: the rules', unless the clinician validly decided otherwise.</summary>
    public Urgency Urgency { get; } = Urgency.Of(Encounter, Decision);

    /// <summary>
    /// Whether a person must be phoned now: not where every rule of the tier that is acted on was handed over by phone already. A tier that the
    /// clinician raised is new to whoever was phoned.
    /// </summary>
    public bool PhoneNow => Urgency.Tier is Tier.T0 or Tier.T1
        && (Urgency.Choice is ClinicianChoice.Raised || Unphoned.Any(rule => rule.Tier is Tier.T0 or Tier.T1) || RuleAnswers.Standing(Encounter, Decision).Count == 0);

    /// <summary>Rules that an order rests on and that nobody was phoned about.</summary>
    public IReadOnlyList<FiredRule> Unphoned { get; } = RuleAnswers.Unphoned(Encounter, Decision);

    /// <summary>
    /// The practice gets nothing of the visit: the patient objects, or objected at an earlier visit of which this one says something.
    /// </summary>
    public bool IsKeptFromGp { get; } = Objects(Encounter, Decision, History, consent => consent.SharingWithGp);

    /// <summary>The receiver of the referral gets nothing of it; an objection stops the kind of receiver that it names and no other.</summary>
    public bool IsKeptFromReceiver { get; } = IsKeptFrom(DestinationOptions.Kind, Encounter, Decision, History);

    /// <summary>Whether a kind of receiver gets nothing of a visit.</summary>
    public static bool IsKeptFrom(string kind, ClinicEncounter encounter, TriageDecision decision, KnownHistory history) => kind switch
    {
        "gp" => Objects(encounter, decision, history, consent => consent.SharingWithGp),
        "ent" => Objects(encounter, decision, history, consent => consent.SharingWithEnt),
        _ => false,
    };

    private static bool Objects(ClinicEncounter encounter, TriageDecision decision, KnownHistory history, Func<ConsentRecord, Answer?> use)
    {
        var said = decision.History.SelectMany(fact => fact.Sources).Select(source => source.EncounterId).ToHashSet(StringComparer.Ordinal);
        return use(encounter.Consent) is Answer.No
            || history.Visits.Any(earlier => use(earlier.Encounter.Consent) is Answer.No && said.Contains(earlier.Encounter.EncounterId));
    }

    /// <summary>The state in which it is stored.</summary>
    public ReceiptState State => !Report.IsValid ? ReceiptState.Quarantined : Decision.IsTriaged ? ReceiptState.Triaged : ReceiptState.AwaitingAnswer;
}
