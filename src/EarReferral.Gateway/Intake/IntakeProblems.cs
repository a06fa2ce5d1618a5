using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>Problems that only the gateway can see, because they depend on what is stored, configured or on the clock.</summary>
internal static class IntakeProblems
{
    public static readonly ProblemDefinition NotFinished = new("intake.not-finished", "Only a finished visit is stored; use the preview while it is in progress.");
    public static readonly ProblemDefinition DecisionInFuture = new("intake.decision-in-future", "The decision lies in the future; check the clock and the year of the clinic's system.");
    public static readonly ProblemDefinition OtherPatient = new("intake.other-patient", "A correction cannot move a visit to another patient; retract it and post it anew.");
    public static readonly ProblemDefinition OtherEncounter = new("intake.other-encounter", "A correction must name the encounter that is stored at this address.");
    public static readonly ProblemDefinition UnknownClinic = new("intake.unknown-clinic", "The clinic of the document is not among the configured clinics.");
    public static readonly ProblemDefinition PersonMissing = new("answer.person-missing", "Say who answers.");
    public static readonly ProblemDefinition NoneGiven = new("answer.none-given", "Give at least one answer.");
    public static readonly ProblemDefinition UnknownFinding = new("answer.unknown-finding", "No finding of this encounter has that code on that side; take code and side from the question in the receipt.");
    public static readonly ProblemDefinition AlreadyAnswered = new("answer.already-answered", "This was answered before; correct it with PUT instead.");
    public static readonly ProblemDefinition RetractionReason = new("retraction.reason-unknown", "The reason is one of wrongPatient, wrongEar and enteredInError.");
    public static readonly ProblemDefinition RetractionPerson = new("retraction.person-missing", "Say who retracts, in at most 200 characters.");
    public static readonly ProblemDefinition RetractionText = new("retraction.text-missing", "Say in words why, in at most 2000 characters.");
    public static readonly ProblemDefinition IdentityPerson = new("identity.person-missing", "Say who decides, in at most 200 characters.");
    public static readonly ProblemDefinition IdentityReason = new("identity.reason-missing", "Say in words why, in at most 2000 characters.");
    public static readonly ProblemDefinition ClosurePerson = new("closure.person-missing", "Say who closes it, in at most 200 characters.");
    public static readonly ProblemDefinition ClosureRole = new("closure.role-missing", "Say in which role, in at most 200 characters.");
    public static readonly ProblemDefinition ClosureReason = new("closure.reason-unknown", "The reason is one of outcomeRead, referredElsewhere, treatedElsewhere, patientDeclined, patientDied, notNeeded and enteredInError.");
    public static readonly ProblemDefinition ClosureText = new("closure.text-missing", "Say in words why, in at most 2000 characters.");
    public static readonly ProblemDefinition ClosureTold = new("closure.told-missing", "The receiver has it or may have it: phone them, and say in at most 200 characters whom you told.");
    public static readonly ProblemDefinition QuarantinePerson = new("quarantine.person-missing", "Say who asks for another look, in at most 200 characters.");
    public static readonly ProblemDefinition QuarantineReason = new("quarantine.reason-missing", "Say in words what was mended, in at most 2000 characters.");
    public static readonly ProblemDefinition HandAnswerUnknown = new("hand.answer-unknown", "The answer is one of received, accepted, returned, moreWanted, booked, didNotAttend and seen.");
    public static readonly ProblemDefinition HandChannel = new("hand.channel-unknown", "The channel is one of phone, letter and email.");
    public static readonly ProblemDefinition HandSaidBy = new("hand.said-by-missing", "Say who at the receiver said it, in at most 200 characters.");
    public static readonly ProblemDefinition HandPerson = new("hand.person-missing", "Say who writes it down, in at most 200 characters.");
    public static readonly ProblemDefinition HandTime = new("hand.time-missing", "Say when it was, with its offset; not in the future.");
    public static readonly ProblemDefinition HandReason = new("hand.reason-missing", "Say why they return it or what they want, in at most 2000 characters.");
    public static readonly ProblemDefinition OperatorPerson = new("operator.person-missing", "Say who asks for it, in at most 200 characters.");
    public static readonly ProblemDefinition OperatorTold = new("operator.told-missing", "The receiver has it or may have it: phone them, and say in at most 200 characters whom you told.");
    public static readonly ProblemDefinition ObjectionRole = new("objection.role-unknown", "Only a clinician or clinicalLead decides to share although the patient objects.");
    public static readonly ProblemDefinition ObjectionText = new("objection.text-missing", "The decision says why, in at most 2000 characters.");
    public static readonly ProblemDefinition ObjectionTold = new("objection.told-missing", "The decision says who was phoned about it, in at most 200 characters.");
    public static readonly ProblemDefinition HoldReason = new("hold.reason-unknown", "The reason is one of informationMissing, patientUndecided, receiverAsked and wrongReceiver.");
    public static readonly ProblemDefinition RedirectReason = new("redirect.reason-unknown", "The reason is one of returned, noCapacity, wrongReceiver and receiverUnreachable.");
    public static readonly ProblemDefinition RedirectDestination = new("redirect.destination-missing", "Name the destination as the configuration does.");
    public static readonly ProblemDefinition ReplyPerson = new("reply.person-missing", "Say who answers, in at most 200 characters.");
    public static readonly ProblemDefinition ReplyText = new("reply.text-missing", "Give the answer, in at most 4000 characters.");
    public static readonly ProblemDefinition ReplyChannel = new("reply.channel-unknown", "The channel is one of electronic, phone, letter and email.");
    public static readonly ProblemDefinition AlarmPerson = new("alarm.person-missing", "Say who takes it on, in at most 200 characters.");
    public static readonly ProblemDefinition AlarmNote = new("alarm.note-too-long", "Say what you will do in at most 2000 characters, or leave it out.");
    public static readonly ProblemDefinition CallOutcome = new("call.outcome-unknown", "The outcome is one of taken, callBack and notReached.");
    public static readonly ProblemDefinition GivenWay = new("given.way-unknown", "The way is one of patientCopy, post, secureEmail and phone.");
    public static readonly ProblemDefinition GivenTo = new("given.to-unknown", "It was given to patient, carer or practice.");

    public static readonly ProblemDefinition DecisionPerson = new("decision.person-missing", "Say who decides, in at most 200 characters.");
    public static readonly ProblemDefinition DecisionTime = new("decision.at-wrong", "Say when it was decided, with seconds and offset; not in the future and not before the visit's own decision.");
    public static readonly ProblemDefinition DecisionEmpty = new("decision.nothing-decided", "Give a tier, or an answer to a rule that fired.");
    public static readonly ProblemDefinition DecisionTier = new("decision.tier-unknown", "The tier is one of T0, T1, T2, T2C, T3 and T4.");
    public static readonly ProblemDefinition DecisionReason = new("decision.reason-missing", "Say in words why, in at most 2000 characters; only raising the tier needs no reason.");
    public static readonly ProblemDefinition DecisionConfirmation = new("decision.confirmation-missing", "T0 and T1, and an open question of these tiers, need a second confirmation: say in confirmedBy who confirms it.");
    public static readonly ProblemDefinition DecisionRule = new("decision.rule-not-fired", "No rule of this number fired for that side; take both from the receipt.");
    public static readonly ProblemDefinition DecisionKind = new("decision.kind-unknown", "The kind is one of declinedByPatient, alreadyReferred, handedOverByPhone and handedOverWithPatient.");
    public static readonly ProblemDefinition DecisionCapacity = new("decision.capacity-missing", "A refusal needs hasCapacity or parentalResponsibility; without capacity the patient cannot decline.");
    public static readonly ProblemDefinition DecisionRisks = new("decision.risks-not-explained", "A refusal needs risksExplained to be yes.");
    public static readonly ProblemDefinition DecisionReceiver = new("decision.handed-to-missing", "Say in handedTo to whom, in at most 200 characters.");
    public static readonly ProblemDefinition DecisionWhen = new("decision.when-missing", "Say when: referredOn for an earlier referral, handedAt for a handover.");

    /// <summary>All of them, as docs/contract.md lists them.</summary>
    public static IReadOnlyList<ProblemDefinition> All { get; } =
        [NotFinished, DecisionInFuture, OtherPatient, OtherEncounter, UnknownClinic, PersonMissing, NoneGiven, UnknownFinding, AlreadyAnswered, RetractionReason, RetractionPerson, RetractionText, IdentityPerson, IdentityReason, ClosurePerson, ClosureRole, ClosureReason, ClosureText, ClosureTold, HandAnswerUnknown, HandChannel, HandSaidBy, HandPerson, HandTime, HandReason, CallOutcome, GivenWay, GivenTo, AlarmPerson, AlarmNote, OperatorPerson, OperatorTold, HoldReason, ObjectionRole, ObjectionText, ObjectionTold, RedirectReason, RedirectDestination, ReplyPerson, ReplyText, ReplyChannel, QuarantinePerson, QuarantineReason,
            DecisionPerson, DecisionTime, DecisionEmpty, DecisionTier, DecisionReason, DecisionConfirmation, DecisionRule, DecisionKind, DecisionCapacity, DecisionRisks, DecisionReceiver, DecisionWhen];

    /// <summary>The problem at a place of the posted document.</summary>
    public static EncounterProblem At(this ProblemDefinition definition, string pointer) => new(definition.Id, pointer, definition.Sentence);
}
