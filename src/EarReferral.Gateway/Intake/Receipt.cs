using System.ComponentModel;
using System.Text.Json.Serialization;

namespace EarReferral.Gateway.Intake;

/// <summary>What the clinic gets back for an encounter.</summary>
internal sealed record Receipt
{
    [Description("Address of the stored encounter; absent for a preview, which stores nothing.")]
    public Uri? Encounter { get; init; }

    [Description("The clinic's own identifier of the visit.")]
    public required string EncounterId { get; init; }

    [Description("Revision that this receipt speaks of; the next correction is one higher.")]
    public required int Revision { get; init; }

    [Description("triaged: no T0 or T1 question is open. awaitingAnswer: at least one is. quarantined: stored, but the record did not pass our own profiles and nothing is sent. retracted: taken back, see the receipt of the retraction. preview: nothing stored.")]
    public required ReceiptState State { get; init; }

    [Description("Received after the deadline that the decision sets, so its clocks have run out already.")]
    public required bool Late { get; init; }

    [Description("A person must be phoned now; the electronic referral does not replace the call.")]
    public required bool PhoneNow { get; init; }

    [Description("Whom to phone before anything else, most urgent first; empty unless the tier is T0 or T1 or a rule sends the case to somebody who gets no electronic referral.")]
    public IReadOnlyList<ReceiptCall> PhoneFirst { get; init; } = [];

    [Description("What the red-flag rules say.")]
    public required ReceiptDecision Decision { get; init; }

    [Description("The screen that was gone through, with every finding that it answered; absent without one.")]
    public ReceiptScreening? Screening { get; init; }

    [Description("What earlier visits to the same clinic add, and what they contradict; absent where they say nothing.")]
    public ReceiptHistory? History { get; init; }

    [Description("What the findings make likely: remarks for the clinician, no findings, and no input of any rule.")]
    public IReadOnlyList<ReceiptRemark> Provisional { get; init; } = [];

    [Description("The referral that was made, if one was.")]
    public ReceiptReferral? Referral { get; init; }

    [Description("A referral of an earlier visit that is open, and what this visit is to it; absent when there is none.")]
    public ReceiptOpenReferral? OpenReferral { get; init; }

    [Description("What the visit asks of the GP practice, and whether the practice may read it.")]
    public required ReceiptGp Gp { get; init; }

    [Description("Flows that an objection of the patient stops: nothing of the visit goes that way, by sending or by reading. Absent where the patient does not object.")]
    public IReadOnlyList<ReceiptStop>? NotShared { get; init; }

    [Description("The GP summary as a FHIR document.")]
    public Uri? Summary { get; init; }

    [Description("What people read and print, ready when the address is followed: the summary as a page and as PDF, the patient's copy in usual and large print, the referral letter where there is a referral. Absent in quarantine and for a preview.")]
    public ReceiptLinks? Links { get; init; }

    [Description("On a correction: who received, or may have received, what it replaces. Absent on a first revision.")]
    public IReadOnlyList<ReceivedBefore>? ReceivedBefore { get; init; }

    [Description("On a correction: whom it has reached. Absent on a first revision.")]
    public CorrectionReached? CorrectionReached { get; init; }

    [Description("Who released the record from quarantine, and when; absent on what never was there.")]
    public ReceiptRelease? Released { get; init; }

    [Description("What became of the clinic's own codes; absent when the document was written in the contract's.")]
    public ReceiptVocabulary? Vocabulary { get; init; }

    [Description("How many resources of each type the record holds.")]
    public required IReadOnlyDictionary<string, int> Resources { get; init; }

    [Description("What our own profiles say about the record; empty unless quarantined.")]
    public IReadOnlyList<ReceiptIssue> Issues { get; init; } = [];

    [Description("Always shown: what this decision is and is not.")]
    public string Caution { get; init; } =
        "Decision support for trained staff. Local policy and the licensed practitioner decide. Emergencies are phoned first.";
}

[JsonConverter(typeof(JsonStringEnumConverter<ReceiptState>))]
internal enum ReceiptState
{
    [JsonStringEnumMemberName("preview")]
    Preview,

    [JsonStringEnumMemberName("triaged")]
    Triaged,

    [JsonStringEnumMemberName("awaitingAnswer")]
    AwaitingAnswer,

    [JsonStringEnumMemberName("quarantined")]
    Quarantined,

    [JsonStringEnumMemberName("retracted")]
    Retracted,
}

internal sealed record ReceiptDecision
{
    [Description("T0 emergency, T1 within 24 hours, T2 within 2 weeks, T2C suspected cancer, T3 routine, T4 no referral.")]
    public required string Tier { get; init; }

    [Description("The tier of the rules alone, before the clinician's own tier and answers.")]
    public required string RulesTier { get; init; }

    [Description("The time limit in words.")]
    public required string TimeLimit { get; init; }

    [Description("The instant by which the patient must be seen.")]
    public DateTimeOffset? Due { get; init; }

    [Description("Who lowered or raised the tier, and why, where the clinician did.")]
    public string? Override { get; init; }

    [Description("What the clinician answered to rules that fired; such a rule stays among those that fired.")]
    public required IReadOnlyList<ReceiptAnswer> Answers { get; init; }

    [Description("What to tell the patient: what follows, by when, whom to ask, and what to do if it gets worse.")]
    public required string TellPatient { get; init; }

    [Description("Every rule that fired, most urgent first.")]
    public required IReadOnlyList<ReceiptRule> Fired { get; init; }

    [Description("What could not be excluded because nobody asked, most urgent first.")]
    public required IReadOnlyList<ReceiptQuestion> Questions { get; init; }

    [Description("The same questions as a person asks them: each fact once, facts of one group of the minimum screen together, most urgent first.")]
    public required IReadOnlyList<ReceiptAsk> Ask { get; init; }

    [Description("Version of the rule set that decided.")]
    public required string RuleBookVersion { get; init; }

    [Description("SHA-256 of the rule set that decided.")]
    public required string RuleBookSha256 { get; init; }
}

internal sealed record ReceiptRule(
    string Rule,
    string Title,
    string Tier,
    string? Side,
    string Strength,
    string TimeLimit,
    DateTimeOffset Due,
    string Destination,
    string Reason,
    string PatientText,
    string Source,
    IReadOnlyList<ReceiptInput> Inputs);

internal sealed record ReceiptGp(
    [property: Description("The practice, or a GP where no practice is recorded, must do something; filing the summary is not doing something.")] bool ActionNeeded,
    [property: Description("What, in the words of the summary; absent where nothing is asked.")] string? Action,
    [property: Description("practice: the recorded practice can read the summary once it is connected here. noPractice: none is recorded, so nobody reads it and the clinic hands it over. objects: the patient objects, and the practice can read nothing of the visit.")] string Readable,
    [property: Description("Why no practice is recorded: notRegistered, notKnown or declined; absent otherwise.")] string? Why);

internal sealed record ReceiptAsk(
    string Tier,
    string Text,
    [property: Description("Group of the minimum screen; absent for a fact that the screen does not ask.")] string? Group,
    [property: Description("Rules that wait for it.")] IReadOnlyList<string> Rules,
    [property: Description("Findings that answer it, as POST /encounters/{id}/answers takes them.")] IReadOnlyList<ReceiptPlace> Findings);

internal sealed record ReceiptPlace(string Finding, string? Side);

internal sealed record ReceiptScreening(
    string Screen,
    int Version,
    string Person,
    DateTimeOffset At,
    [property: Description("Findings that its none of these answered; everything recorded otherwise stood.")] IReadOnlyList<ReceiptPlace> Answered);

internal sealed record ReceiptAnswer(
    string Rule,
    string? Side,
    [property: Description("declinedByPatient, alreadyReferred, handedOverByPhone or handedOverWithPatient.")] string Kind,
    [property: Description("False when something is missing that it needs; the rule then stands as if nobody had answered.")] bool Counts,
    [property: Description("The answer in words, with what is missing.")] string Text);

internal sealed record ReceiptRemark(string Id, string? Side, string Text, string DoesNotMean, string Source);

internal sealed record ReceiptInput(
    string Fact,
    string? Value,
    [property: Description("Numbers of the earlier visits that it was derived from; absent for what this visit says itself.")] IReadOnlyList<string>? FromVisits = null);

internal sealed record ReceiptHistory(
    [property: Description("Facts derived from earlier visits where this one leaves them open or says otherwise.")] IReadOnlyList<ReceiptDerivedFact> Derived,
    [property: Description("Why no earlier visit was used: it is not settled who the patient is. Absent otherwise.")] string? Withheld,
    [property: Description("Earlier visits whose document this program cannot read; nothing is known of what they say.")] IReadOnlyList<string> NotRead);

internal sealed record ReceiptDerivedFact(
    string Finding,
    string Side,
    string Value,
    [property: Description("The visits that it was derived from, oldest first.")] IReadOnlyList<ReceiptEarlierVisit> From,
    [property: Description("What this visit recorded that does not agree. It stands and the derived fact was not used; one of the two is wrong.")] ReceiptContradiction? Contradicts);

internal sealed record ReceiptEarlierVisit(string EncounterId, int Revision, DateTimeOffset At);

internal sealed record ReceiptContradiction(string Finding, string Said);

internal sealed record ReceiptQuestion(string Rule, string Tier, string? Side, string Text, IReadOnlyList<string> Findings);

internal sealed record ReceiptReferral(Uri Referral, string Id, string Destination, string? Phone, DateTimeOffset Due, string State);

internal sealed record ReceiptOpenReferral(
    Uri Referral,
    string Id,
    [property: Description("separate: another reason, so this visit has its own referral beside it. adds: the same reason and no more urgent, so no second referral was made and the receiver can read of this visit. replaces: more urgent, or an emergency again; the referral of this visit takes its place, and a clinician closes the earlier one.")] string Relation,
    [property: Description("What that means and what to do.")] string Text);

internal sealed record ReceiptLinks(
    [property: Description("The summary as a page.")] Uri SummaryPage,
    [property: Description("The summary as PDF.")] Uri SummaryPdf,
    [property: Description("The patient's copy as PDF.")] Uri PatientCopyPdf,
    [property: Description("The patient's copy in large print.")] Uri PatientCopyLargePrintPdf,
    [property: Description("The referral letter as a page; absent without a referral.")] Uri? ReferralLetter,
    [property: Description("The referral letter as PDF; absent without a referral.")] Uri? ReferralLetterPdf);

internal sealed record ReceiptCall(
    [property: Description("Kind of receiver: emergency, ent, gp, crisis-team, audiology.")] string Destination,
    [property: Description("Whom to call, in words.")] string Who,
    [property: Description("The number, where one is configured.")] string? Phone,
    [property: Description("Rules that send the case there.")] IReadOnlyList<string> Rules,
    [property: Description("The time limit in words.")] string TimeLimit);

internal sealed record ReceiptVocabulary(
    string System,
    string Version,
    [property: Description("How many codes were translated.")] int Translated,
    [property: Description("Codes without counterpart that no rule reads: kept as text and coding, not understood here.")] IReadOnlyList<ReceiptKeptCode> KeptAsText);

internal sealed record ReceiptKeptCode(string Pointer, string Code, string? Display);

internal sealed record ReceiptRelease(DateTimeOffset At, string Person);

internal sealed record ReceiptIssue(string Code, string Location, string Rule, string Text);

internal sealed record ReceiptStop(
    [property: Description("gp, or the kind of receiver of the referral.")] string With,
    [property: Description("What that means.")] string Text,
    [property: Description("T0 or T1, and nobody was phoned about it: a clinician must record a decision, by the decision on the visit or on the referral. It stands in /attention until then.")] bool NeedsDecision);
