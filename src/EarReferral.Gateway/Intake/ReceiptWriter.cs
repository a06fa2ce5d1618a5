using System.Text.Json;
using System.Text.Json.Serialization;
using EarReferral.Delivery;
using EarReferral.Encounters;
using EarReferral.Gateway.Configuration;
using EarReferral.Mapping.Referral;
using EarReferral.Referrals.LaterVisits;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Inference;
using EarReferral.Validation;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>Puts a judgement into the words of the receipt.</summary>
internal sealed class ReceiptWriter(IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
{
    /// <summary>Without a deadline, a visit posted more than a day after it is late.</summary>
    private static readonly TimeSpan LateWithoutDeadline = TimeSpan.FromDays(1);

    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>Whether the deadline had passed when the encounter arrived.</summary>
    public static bool IsLate(Judgement judgement, DateTimeOffset receivedAt) =>
        receivedAt > (judgement.Urgency.Due ?? judgement.Encounter.EvaluationInstant + LateWithoutDeadline);

    /// <summary>The receipt of a stored encounter, as it is kept and given.</summary>
    /// <param name="judgement">What was judged.</param>
    /// <param name="key">Key of the encounter.</param>
    /// <param name="late">Whether it came after its deadline.</param>
    /// <param name="earlier">Who has what the revision corrects; null for a first revision.</param>
    /// <param name="released">Who released it from quarantine; null at the intake.</param>
    public byte[] Write(Judgement judgement, Guid key, bool late, EarlierContent? earlier = null, ReceiptRelease? released = null) => JsonSerializer.SerializeToUtf8Bytes(
        Receipt(judgement, judgement.State, late) with
        {
            PhoneNow = judgement.PhoneNow || earlier is { Placement: ReferralPlacement.WithdrawnAfterSending or ReferralPlacement.WithdrawalQueued },
            Encounter = Address($"encounters/{key}"),
            Released = released,
            Referral = Referral(judgement),
            OpenReferral = judgement is { State: not ReceiptState.Quarantined, LaterVisit: { } later } ? Open(later, judgement) : null,
            ReceivedBefore = earlier is null ? null : CorrectionReceivers.List(earlier, delivery.Value),
            CorrectionReached = earlier is null ? null : CorrectionReceivers.Reached(earlier),
            Summary = judgement.State == ReceiptState.Quarantined ? null : Address($"fhir/Composition/{judgement.Summary.Id}/$document"),
            Links = judgement.State == ReceiptState.Quarantined ? null : Links(judgement.Summary.Id!, judgement.Referral?.Request.Id),
        },
        Json);

    /// <summary>A receipt as JSON.</summary>
    public static byte[] Bytes(Receipt receipt) => JsonSerializer.SerializeToUtf8Bytes(receipt, Json);

    /// <summary>The receipt of a retraction as JSON.</summary>
    public static byte[] Bytes(RetractionReceipt receipt) => JsonSerializer.SerializeToUtf8Bytes(receipt, Json);

    /// <summary>The receipt of a preview.</summary>
    public static Receipt Preview(Judgement judgement, DateTimeOffset now) => Receipt(judgement, ReceiptState.Preview, IsLate(judgement, now));

    /// <summary>A decision in the words of the receipt.</summary>
    public static ReceiptDecision Decision(ClinicEncounter encounter, TriageDecision decision) => Decision(encounter, decision, Urgency.Of(encounter, decision));

    private static ReceiptDecision Decision(ClinicEncounter encounter, TriageDecision decision, Urgency urgency) => new()
    {
        Tier = urgency.Tier.ToString(),
        RulesTier = decision.Tier.ToString(),
        TimeLimit = RuleAnswers.Standing(encounter, decision).FirstOrDefault(rule => rule.Tier == urgency.Tier)?.TimeLimit ?? TimeLimit(urgency.Tier),
        Due = urgency.Due,
        Override = Override(urgency.Choice),
        Answers = [.. RuleAnswers.Of(encounter, decision).Select(answer => new ReceiptAnswer(
            answer.Rule.Id, Side(answer.Rule.Side), JsonNamingPolicy.CamelCase.ConvertName(answer.Response.Kind.ToString()), answer.Counts, AnswerWords.ForClinician(answer)))],
        TellPatient = PatientAdvice.Instruction(encounter, decision, urgency),
        Fired = [.. decision.Fired.Select(rule => new ReceiptRule(
            rule.Id,
            rule.Title,
            rule.Tier.ToString(),
            Side(rule.Side),
            rule.Strength == RuleStrength.Must ? "must" : "consider",
            rule.TimeLimit,
            rule.Due,
            rule.Destination,
            rule.Reason,
            rule.PatientText,
            rule.Source,
            [.. rule.Inputs.Select(input => new ReceiptInput(
                input.Variable,
                input.Value,
                decision.History.FirstOrDefault(fact => fact.ObservationId == input.ObservationId)?.Sources.Select(source => source.EncounterId).ToList()))]))],
        Questions = [.. decision.Questions.Select(question => new ReceiptQuestion(question.RuleId, question.Tier.ToString(), Side(question.Side), question.Text, question.FindingCodes))],
        Ask = MergedQuestions.Of(decision.Questions),
        RuleBookVersion = decision.RuleBook.Version,
        RuleBookSha256 = decision.RuleBook.Sha256,
    };

    private static Receipt Receipt(Judgement judgement, ReceiptState state, bool late) => new()
    {
        EncounterId = judgement.Encounter.EncounterId,
        Revision = judgement.Encounter.Revision,
        State = state,
        Late = late,
        PhoneNow = judgement.PhoneNow,
        PhoneFirst = PhoneCalls.For(judgement.Unphoned, judgement.ClinicOptions, judgement.DestinationOptions.Kind, judgement.Contact.Name, judgement.Contact.Phone),
        Decision = Decision(judgement.Encounter, judgement.Decision),
        Vocabulary = judgement.Encounter.Vocabulary is { } use
            ? new ReceiptVocabulary(
                use.System,
                use.Version,
                use.Codes.Count(code => code.Translated is not null),
                [.. use.Codes.Where(code => code.Translated is null).Select(code => new ReceiptKeptCode(code.Pointer, code.Code, code.Display))])
            : null,
        Screening = Screening(judgement.Encounter),
        Gp = Gp(judgement),
        NotShared = Stops(judgement),
        History = History(judgement),
        Provisional = [.. CauseInference.Of(judgement.Record.Observations).Select(remark => new ReceiptRemark(remark.Id, Side(remark.Side), remark.Text, remark.DoesNotMean, remark.Source))],
        Resources = judgement.Resources.GroupBy(resource => resource.TypeName).OrderBy(group => group.Key, StringComparer.Ordinal).ToDictionary(group => group.Key, group => group.Count()),
        Issues = [.. judgement.Report.Issues
            .Where(issue => !judgement.Report.IsValid && issue.Severity == IssueSeverity.Error)
            .Select(issue => new ReceiptIssue(issue.Code, issue.Location, issue.RuleId, issue.Text))],
    };

    private static ReceiptGp Gp(Judgement judgement)
    {
        var (encounter, decision) = (judgement.Encounter, judgement.Decision);
        var noPractice = encounter.Patient.GpPracticeAbsentReason;
        // Without a practice the same rules still ask for a GP; the clinic arranges it.
        IReadOnlyList<string> asked = noPractice is null
            ? GpAction.Of(encounter, decision)
            : [.. RuleAnswers.Standing(encounter, decision).Where(rule => rule.Destination == "gp").Select(rule => $"The clinic arranges it with a GP: {rule.Title} ({rule.TimeLimit}).").Distinct(StringComparer.Ordinal)];
        return new(
            asked.Count > 0,
            asked.Count > 0 ? string.Join(' ', asked) : null,
            judgement.IsKeptFromGp ? "objects" : noPractice is null ? "practice" : "noPractice",
            noPractice is { } why ? JsonNamingPolicy.CamelCase.ConvertName(why.ToString()) : null);
    }

    private static List<ReceiptStop>? Stops(Judgement judgement)
    {
        var stops = new List<ReceiptStop>();
        if (judgement.IsKeptFromGp)
        {
            stops.Add(new("gp", "The patient objects to sharing with the GP practice: it can read nothing of this visit.", judgement.PhoneNow));
        }

        if (judgement is { IsKeptFromReceiver: true, Referral: not null })
        {
            stops.Add(new(judgement.DestinationOptions.Kind, "The patient objects to sharing with the receiver: the referral is held and not sent.", judgement.PhoneNow));
        }

        return stops.Count == 0 ? null : stops;
    }

    private static ReceiptHistory? History(Judgement judgement) => judgement is { Decision.History.Count: 0, History: { IsWithheld: false, NotRead.Count: 0 } }
        ? null
        : new ReceiptHistory(
            [.. judgement.Decision.History.Select(fact => new ReceiptDerivedFact(
                fact.Code,
                Side(fact.Side)!,
                fact.Value.Text,
                [.. fact.Sources.Select(source => new ReceiptEarlierVisit(source.EncounterId, source.Revision, source.At))],
                fact.Contradiction is { } other ? new ReceiptContradiction(other.Finding, other.Said) : null))],
            judgement.History.IsWithheld ? "What visits say about who this patient is contradicts itself; earlier visits are used again once a person has settled it." : null,
            judgement.History.NotRead);

    private static ReceiptScreening? Screening(ClinicEncounter encounter) => encounter.Screening is { } screening
        ? new ReceiptScreening(
            JsonNamingPolicy.CamelCase.ConvertName(screening.Screen.ToString()),
            screening.Version,
            screening.Person,
            screening.At,
            [.. encounter.AnsweredByScreen.Select(answer => new ReceiptPlace(answer.Code, answer.Side?.ToString().ToLowerInvariant()))])
        : null;

    private ReceiptReferral? Referral(Judgement judgement) => judgement is { State: not ReceiptState.Quarantined, Referral: { } referral }
        ? new ReceiptReferral(
            Address($"referrals/{referral.Request.Id}"),
            referral.Request.Id!,
            judgement.DestinationOptions.Name!,
            judgement.Contact.Phone,
            judgement.Urgency.Due!.Value,
            "stored; see the referral's address for how far it has come")
        : null;

    private ReceiptOpenReferral Open(LaterVisit later, Judgement judgement)
    {
        var since = later.Open.DecidedAt.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
        return new ReceiptOpenReferral(Address($"referrals/{later.Open.Id}"), later.Open.Id, JsonNamingPolicy.CamelCase.ConvertName(later.Relation.ToString()), later.Relation switch
        {
            LaterVisitRelation.Adds => $"The referral of {since} is open for the same reason and no less urgent, so no second one was made. {judgement.DestinationOptions.Name} can read of this visit; it is not told by itself. If it seems to have gone quiet, phone.",
            LaterVisitRelation.Replaces => $"The referral of {since} is open. This visit is more urgent, or an emergency again, so its own referral takes the place of that one. {(judgement.PhoneNow ? "Phone now. " : string.Empty)}Close the earlier one when {judgement.DestinationOptions.Name} has confirmed the new.",
            LaterVisitRelation.Separate => $"The referral of {since} is open for another reason. This visit has a referral of its own beside it.",
        });
    }

    private ReceiptLinks Links(string summary, string? referral) => new(
        Address($"summaries/{summary}"),
        Address($"summaries/{summary}.pdf"),
        Address($"summaries/{summary}/patient-copy.pdf"),
        Address($"summaries/{summary}/patient-copy.pdf?print=large"),
        referral is null ? null : Address($"referrals/{referral}/letter"),
        referral is null ? null : Address($"referrals/{referral}/letter.pdf"));

    private Uri Address(string path) => new(gateway.Value.PublicBaseUrl, path);

    private static string TimeLimit(Tier tier) => tier switch
    {
        Tier.T0 => "today, within 4 hours",
        Tier.T1 => "within 24 hours",
        Tier.T2 => "within 2 weeks",
        Tier.T2C => "suspected cancer: first contact within 2 weeks",
        Tier.T3 => "within 18 weeks, local pathway",
        Tier.T4 => "no referral",
    };

    private static string? Override(ClinicianChoice choice) => choice switch
    {
        ClinicianChoice.None => null,
        ClinicianChoice.Raised => "The clinician raised the tier.",
        ClinicianChoice.Lowered => "The clinician lowered the tier, with name and reason.",
        ClinicianChoice.LoweringNotConfirmed => "The clinician's lower tier does not count: lowering T0 or T1 needs a second confirmation.",
    };

    private static string? Side(DecisionSide? side) => side is { } ear
        ? ear switch
        {
            DecisionSide.Right => "right",
            DecisionSide.Left => "left",
        }
        : null;
}
