using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Encounters;
using EarReferral.Gateway.Configuration;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Referrals.Clocks;
using EarReferral.Referrals.Destinations;
using EarReferral.Referrals.LaterVisits;
using EarReferral.Storage.Referrals;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>Runs the pure stages in their order; decides nothing itself and stores nothing.</summary>
internal sealed class EncounterJudge(RuleBook rules, Lazy<ReferralValidator> validator, ClinicDirectory clinics, DestinationDirectory directory, IOptions<DeliveryOptions> delivery, TimeProvider clock)
{
    /// <summary>Ids for what is not kept: a preview, the readable part of a refused document.</summary>
    private static readonly EncounterIdentity Unkept = new(
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a01"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a02"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a03"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a04"));

    /// <summary>What the rules say about an encounter that is not kept.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="known">Earlier visits of its patient.</param>
    public TriageDecision Decide(ClinicEncounter encounter, KnownHistory known) =>
        Decide(encounter, RecordMapper.Map(encounter, Unkept, MappingContext.BritishEnglish), Unkept, known).Decision;

    /// <summary>Judges a document that is only tried, and builds the bundle that would be sent.</summary>
    public Judgement Try(ClinicEncounter encounter, KnownHistory known) => Judge(encounter, Unkept, known);

    /// <summary>Everything about an encounter that is not kept.</summary>
    /// <param name="encounter">The encounter; its clinic must be configured.</param>
    /// <param name="known">Earlier visits of its patient.</param>
    public Judgement Preview(ClinicEncounter encounter, KnownHistory known) => Judge(encounter, Unkept, known, isSent: false);

    /// <summary>Everything about an encounter.</summary>
    /// <param name="encounter">The encounter; its clinic must be configured.</param>
    /// <param name="identity">Identities kept for it.</param>
    /// <param name="known">Earlier visits of its patient.</param>
    /// <param name="withdraws">An earlier revision made a referral; should this one make none, the summary says that it was withdrawn.</param>
    /// <param name="isSent">False for a preview: the bundle that nobody will send is neither built nor judged, its resources are.</param>
    /// <param name="destination">Where a person sends it; null leaves that to the directory.</param>
    /// <param name="open">Referrals of the patient on which somebody works; null where they are not looked at.</param>
    public Judgement Judge(
        ClinicEncounter encounter, EncounterIdentity identity, KnownHistory known, bool withdraws = false, bool isSent = true, string? destination = null, IReadOnlyList<OpenReferral>? open = null)
    {
        var (record, decision) = Decide(encounter, RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish), identity, known);
        var clinic = clinics.Find(encounter.Clinic.Id)!;
        destination ??= directory.Choose(Case(encounter, decision), clinic.EntDestination);
        var options = delivery.Value.Destinations[destination];
        var concerns = Concerns(encounter, decision);
        // Where the patient objects to the receiver, no note may go there and nothing may rest on what it has.
        var later = Judgement.IsKeptFrom(options.Kind, encounter, decision, known) ? null : Later(encounter, decision, concerns, mayAdd: !withdraws, open?.Where(each => each.Destination == destination));
        if (later is { Relation: LaterVisitRelation.Adds })
        {
            // Only where the answers leave nothing to refer; else the visit has a referral of its own.
            var covered = OpenReferralAnswers.Add(encounter, decision, options.Name!, later.Open.DecidedAt);
            (encounter, later) = Urgency.Of(covered, decision).Tier == Tier.T4 ? (covered, later) : (encounter, later with { Relation = LaterVisitRelation.Separate });
        }

        var referral = encounter.Status == EncounterStatus.Finished
            ? ReferralMapper.Map(encounter, record, decision, identity, new ReferralDestination(
                Kind(options.Kind), options.OdsCode!, options.Name!, options.Phone, [.. options.AcceptedPriorities.Select(code => EnumUtility.ParseLiteral<RequestPriority>(code)!.Value)]), Earlier(later))
            : null;
        var settled = referral is null ? ConditionMapper.OfSettled(encounter, record, decision, identity) : [];
        var summary = SummaryMapper.Map(encounter, record, decision, referral, identity, settled, withdraws && referral is null ? options.Name : null);
        IReadOnlyList<Resource> resources = [.. record.Resources, .. referral?.Resources ?? [], .. settled, summary];
        var bundle = referral is null || !isSent ? null : ReferralBundle.Build(record, referral, summary);
        var report = validator.Value.Validate(resources);
        return new Judgement(
            encounter,
            record,
            decision,
            referral,
            summary,
            resources,
            bundle is null ? null : ReferralBundle.Serialise(bundle),
            destination,
            options,
            directory.ContactAt(destination, clock.GetUtcNow())!,
            clinic,
            known,
            bundle is null || !report.IsValid ? report : validator.Value.Validate(bundle))
        {
            LaterVisit = later,
            Concerns = concerns,
        };
    }

    private static List<string> Concerns(ClinicEncounter encounter, TriageDecision decision) =>
        [.. RuleAnswers.Standing(encounter, decision).Select(rule => rule.Side is { } side ? $"{rule.Id}/{side.ToString().ToLowerInvariant()}" : rule.Id).Distinct(StringComparer.Ordinal)];

    private static LaterVisit? Later(ClinicEncounter encounter, TriageDecision decision, List<string> concerns, bool mayAdd, IEnumerable<OpenReferral>? open) =>
        encounter.Status == EncounterStatus.Finished && UrgencyTiers.Read(Urgency.Of(encounter, decision).Tier.ToString()) is { } urgency
            ? LaterVisit.Of(urgency, concerns, encounter.EvaluationInstant, mayAdd && encounter.TierOverride is null, [.. open?.Select(each =>
                new OpenRequest(each.ReferralId, UrgencyTiers.Read(each.Tier) ?? ReferralUrgency.Routine, each.Concerns, each.EvaluatedAt, each.IsKept)) ?? []])
            : null;

    private static EarlierRequest? Earlier(LaterVisit? later) => later is { Relation: LaterVisitRelation.Replaces or LaterVisitRelation.Separate, Open: { } open }
        ? new EarlierRequest(open.Id, open.DecidedAt, later.Relation == LaterVisitRelation.Replaces)
        : null;

    private RoutedCase Case(ClinicEncounter encounter, TriageDecision decision)
    {
        var day = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone)).DateTime);
        return new RoutedCase(
            encounter.Clinic.Id,
            Urgency.Of(encounter, decision).Tier.ToString(),
            directory.Age(encounter.Patient.BirthDate, day),
            [.. decision.Fired.Select(rule => rule.Id)],
            encounter.Patient.GpPractice?.OdsCode,
            [.. decision.Fired.Where(rule => rule.Tier == decision.Tier).Select(rule => rule.Destination)]);
    }

    private static DestinationKind Kind(string kind) => kind switch
    {
        "gp" => DestinationKind.Gp,
        "audiology" => DestinationKind.Audiology,
        "emergency" => DestinationKind.Emergency,
        "crisis-team" => DestinationKind.CrisisTeam,
        _ => DestinationKind.Ent,
    };

    private (EncounterRecord Record, TriageDecision Decision) Decide(ClinicEncounter encounter, EncounterRecord record, EncounterIdentity identity, KnownHistory known)
    {
        var history = HistoryMapper.Input(VisitHistory.Of(encounter, identity, known.Visits), encounter, record, identity);
        var decision = TriageEngine.Decide(rules, record.Resources, history, encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone));
        return (record with { History = history.Observations }, decision);
    }
}
