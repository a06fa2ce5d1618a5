using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>A decision that refers to the resources of the referral.</summary>
public static class ReferralMapper
{
    /// <summary>Maps the referral; null when neither a rule nor the clinician refers.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="record">Its record resources.</param>
    /// <param name="decision">What the rules decided.</param>
    /// <param name="identity">Identities kept for the encounter.</param>
    /// <param name="destination">The receiving service.</param>
    /// <param name="open">A request of an earlier visit that is open; null when there is none.</param>
    public static ReferralResources? Map(
        ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, EncounterIdentity identity, ReferralDestination destination, EarlierRequest? open = null)
    {
        var fired = RuleAnswers.Standing(encounter, decision).ToList();
        var urgency = Urgency.Of(encounter, decision);
        if (TierPriority.Of(urgency.Tier) is not { } priority || urgency.Due is not { } due)
        {
            return null;
        }

        var receiver = ResourceStamp.OrganizationByOds(destination.OdsCode, destination.Name, identity);
        var deciding = fired.Where(rule => rule.Tier == fired.Max(any => any.Tier)).ToList();
        var conditions = ConditionMapper.OfSides(deciding, encounter, record, decision, identity);
        var request = Request(encounter, record, decision, fired, conditions, urgency, due, priority, identity, destination, receiver);
        if (open is not null)
        {
            Name(open, request);
        }

        request.BodySite = [.. Sides(encounter, deciding).Select(BodySites.Of)];
        return new ReferralResources(request, Task(encounter, record, request, receiver, due, identity), conditions, receiver) { Kind = destination.Kind };
    }

    private static ServiceRequest Request(
        ClinicEncounter encounter,
        EncounterRecord record,
        TriageDecision decision,
        List<FiredRule> fired,
        IReadOnlyList<Condition> conditions,
        Urgency urgency,
        DateTimeOffset due,
        RequestPriority priority,
        EncounterIdentity identity,
        ReferralDestination destination,
        Organization receiver)
    {
        var request = ResourceStamp.Stamp(new ServiceRequest(), identity.Resource("service-request"), "ear-referral");
        var own = ResourceStamp.Own(request);
        own.Type = Hl7Codes.PlacerIdentifier.Concept();
        request.Identifier = [own];
        request.InstantiatesCanonicalElement = [.. fired.Select(rule => rule.Canonical).Distinct(StringComparer.Ordinal).Select(canonical => new Canonical(canonical))];
        request.Status = RequestStatus.Active;
        request.Intent = RequestIntent.Order;
        request.Category = [LocalCodes.EarCareReferral.Concept()];
        request.Priority = destination.Nearest(priority);
        if (urgency.Tier is Tier.T2C || fired.Any(rule => rule.Tier is Tier.T2C))
        {
            request.Category.Add(LocalCodes.SuspectedCancer.Concept());
            request.PriorityElement!.Extension.Add(new Extension(Canonicals.PriorityReason, LocalCodes.SuspectedCancer.Concept("Suspected cancer: diagnosis or all-clear expected within 28 days")));
        }

        request.Code = Service(destination.Kind);
        request.Subject = ResourceStamp.To(record.Patient);
        request.Encounter = ResourceStamp.To(record.Encounter);
        request.Occurrence = ResourceStamp.Between(decision.EvaluatedAt, due);
        request.AuthoredOn = ResourceStamp.Iso(encounter.EvaluationInstant);
        request.Requester = ResourceStamp.To(record.Role);
        request.Performer = [ResourceStamp.To(receiver)];
        request.ReasonCode = [.. fired.Select(rule => new CodeableConcept { Text = RuleEvidence.Sentence(rule, record) })];
        if (request.ReasonCode.Count == 0)
        {
            // No rule fired, so the referral rests on the clinician's own decision alone.
            request.ReasonCode = [new CodeableConcept { Text = encounter.TierOverride!.Reason }];
        }

        request.ReasonReference =
        [
            .. conditions.Select(ResourceStamp.To),
            .. fired.SelectMany(rule => RuleEvidence.Of(rule, record)).DistinctBy(observation => observation.Id).Select(ResourceStamp.To),
        ];
        request.SupportingInfo = [.. record.Procedures.Values.Select(ResourceStamp.To), .. record.Media.Select(ResourceStamp.To)];
        var notes = ReferralNotes.Lines(encounter, record, decision, fired, urgency.Tier, due, destination).ToList();
        if (destination.Accepts is { Count: > 0 })
        {
            // The receiver does not know every urgency, so the first thing that it reads is by when the patient must be seen.
            notes.Insert(0, $"SEEN BY {Words.Instant(due)}: {Words.Of(urgency.Tier)}. This system shows the priority as {Hl7.Fhir.Utility.EnumUtility.GetLiteral(destination.Nearest(priority))}.");
        }

        request.Note = [.. notes.Select(line => new Annotation { Text = line })];
        request.PatientInstruction = PatientAdvice.Instruction(encounter, decision, urgency);
        request.Text = new Xhtml(record.Language).Strong($"{request.Code.Text}: {Words.Of(urgency.Tier)}").List(notes).Generated();
        return request;
    }

    private static void Name(EarlierRequest open, ServiceRequest request)
    {
        if (open.IsReplaced)
        {
            request.Replaces = [new ResourceReference { Type = "ServiceRequest", Identifier = new Identifier(Canonicals.ResourceIdentifier, open.Id) }];
        }

        var note = open.IsReplaced
            ? $"REPLACES the request of {Words.Instant(open.DecidedAt)} ({open.Id}), which is open: the patient was seen again and cannot wait for it."
            : $"Another request of this clinic for the patient is open, of {Words.Instant(open.DecidedAt)} ({open.Id}); this one has another reason.";
        request.Note.Add(new Annotation { Text = note });
    }

    private static Hl7.Fhir.Model.Task Task(ClinicEncounter encounter, EncounterRecord record, ServiceRequest request, Organization receiver, DateTimeOffset due, EncounterIdentity identity)
    {
        var task = ResourceStamp.Stamp(new Hl7.Fhir.Model.Task(), identity.Resource("task"), "ear-referral-task");
        task.Identifier = [ResourceStamp.Own(task)];
        task.Status = Hl7.Fhir.Model.Task.TaskStatus.Requested;
        task.BusinessStatus = LocalCodes.ReferralSent.Concept();
        task.Intent = Hl7.Fhir.Model.Task.TaskIntent.Order;
        task.Priority = request.Priority;
        task.Code = Hl7Codes.Fulfill.Concept();
        task.Focus = ResourceStamp.To(request);
        task.For = ResourceStamp.To(record.Patient);
        task.Encounter = ResourceStamp.To(record.Encounter);
        task.AuthoredOn = ResourceStamp.Iso(encounter.EvaluationInstant);
        task.LastModified = ResourceStamp.Iso(encounter.EvaluationInstant);
        task.Requester = ResourceStamp.To(record.Role);
        task.Owner = ResourceStamp.To(receiver);
        task.Note = [new Annotation { Text = $"Deadline: {Words.Instant(due)}" }, .. request.ReasonCode.Select(reason => new Annotation { Text = reason.Text })];
        task.Restriction = new Hl7.Fhir.Model.Task.RestrictionComponent { Period = new Period { End = ResourceStamp.Iso(due) } };
        return task;
    }

    /// <summary>
    /// Ears of the most urgent rules; none when those concern the whole patient. A referral by the clinician alone concerns the ear that was
    /// examined, where it was one.
    /// </summary>
    private static IEnumerable<EarSide> Sides(ClinicEncounter encounter, List<FiredRule> deciding) => (deciding.Count, encounter.Ears.Count) switch
    {
        (0, 1) => [encounter.Ears[0].Side],
        (0, _) => [],
        _ => deciding.Select(rule => rule.Side).OfType<DecisionSide>().Select(Side).Distinct().Order(),
    };

    internal static EarSide Side(DecisionSide side) => side switch { DecisionSide.Right => EarSide.Right, DecisionSide.Left => EarSide.Left };

    private static CodeableConcept Service(DestinationKind kind) => kind switch
    {
        DestinationKind.Ent => Snomed.ReferralToEnt.Concept(),
        DestinationKind.Audiology => Snomed.ReferralToAudiologist.Concept(),
        DestinationKind.Gp => Snomed.ReferralToGp.Concept(),
        DestinationKind.Emergency => Snomed.PatientReferral.Concept("Referral to the emergency department"),
        DestinationKind.CrisisTeam => Snomed.PatientReferral.Concept("Referral to the mental health crisis team"),
    };
}
