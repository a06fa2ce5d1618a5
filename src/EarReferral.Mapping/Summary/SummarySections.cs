using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Summary;

/// <summary>The sections of a summary; each can be read without its entries.</summary>
internal static class SummarySections
{
    public static Composition.SectionComponent Of(string title, IReadOnlyCollection<string> lines, IEnumerable<Resource> entries, string language) => new()
    {
        Title = title,
        Text = new Xhtml(language).Strong(title).List(lines.Count == 0 ? ["Nothing recorded."] : lines).Generated(),
        Entry = [.. entries.Select(ResourceStamp.To)],
    };

    public static Composition.SectionComponent Ear(EarExamination ear, EncounterRecord record)
    {
        var side = BodySites.Words(ear.Side);
        var observations = record.Observations.Where(observation => observation.BodySite?.Text == side).ToList();
        var before = observations.Where(observation => ObservationMeaning.IsAt(observation, LocalCodes.Before)).ToList();
        var after = observations.Where(observation => ObservationMeaning.IsAt(observation, LocalCodes.After)).ToList();
        var steps = observations.Where(observation => ObservationMeaning.Code(observation) == LocalCodes.Step.Code).ToList();
        var history = observations.Except(before).Except(after).Except(steps).ToList();
        var procedure = record.Procedures.GetValueOrDefault(ear.Side);
        var text = new Xhtml(record.Language)
            .Strong(side)
            .Paragraph("Told and examined").List(Told(history))
            .Paragraph("Seen before").List(Seen(before.Where(observation => !ObservationMeaning.IsDeposit(observation))))
            .List([.. ear.Deposits.Select(deposit => $"Found: {DepositMapper.Words(deposit)}")])
            .Paragraph(Done(ear, procedure)).List([.. procedure?.Note.Select(note => note.Text ?? string.Empty) ?? []])
            .List([.. procedure?.Complication.Select(complication => $"Complication: {complication.Text}") ?? []])
            .Paragraph(ear.After is null ? "Seen after: not examined" : "Seen after")
            .List(Seen(after.Where(observation => !ObservationMeaning.IsResidual(observation))));
        foreach (var left in ear.Outcome?.Left ?? [])
        {
            text.Paragraph(DepositMapper.Words(left) + (left.OnPurpose && left.At.Part is EarPart.OnDrum
                ? " Work on the drum hurts and can make a hole, so it was left there."
                : string.Empty));
        }

        // The last look at canal and drum travels whole, because there "not there" and "not seen" decide what a reader may do next.
        // Of the rest only what was found travels; every denied answer stays in the record, where a reader can fetch it.
        var lastLook = (after.Exists(ObservationMeaning.IsOtoscopy) ? after : before).Where(ObservationMeaning.IsOtoscopy).ToHashSet();
        var sent = observations.Where(observation => lastLook.Contains(observation) || ObservationMeaning.IsFound(observation) || IsThreshold(observation));
        return new Composition.SectionComponent
        {
            Title = side,
            Text = text.Generated(),
            Entry = [.. procedure is null ? [] : new[] { ResourceStamp.To(procedure) }, .. sent.Select(ResourceStamp.To)],
        };
    }

    public static Composition.SectionComponent Patient(ClinicEncounter encounter, EncounterRecord record)
    {
        var observations = record.Observations.Where(observation => observation.BodySite is null && !ObservationMeaning.IsAdvice(observation)).ToList();
        var done = record.Procedures.Values.Any(procedure => procedure.Status is not EventStatus.NotDone);
        List<string> lines =
        [
            .. encounter.ReasonForVisit is { } reason ? new[] { $"Reason for the visit: {reason}" } : [],
            .. encounter.OthersPresent.Count > 0 ? new[] { $"Also present: {string.Join(", ", encounter.OthersPresent)}" } : [],
            .. done || encounter.Consent.Treatment is Answer.No ? new[] { $"Agreed to the procedure: {ReferralNotes.Word(encounter.Consent.Treatment)}" } : [],
            encounter.Medicines.Count == 0 ? "Medicines: not recorded" : $"Medicines: {string.Join("; ", encounter.Medicines)}",
            encounter.Allergies.Count == 0 ? "Allergies: not recorded" : $"Allergies: {string.Join("; ", encounter.Allergies)}",
            .. Told(observations),
            .. ContactAdvice.Lines(encounter.Reaching),
        ];
        return Of("The patient", lines, observations.Where(ObservationMeaning.IsFound), record.Language);
    }

    /// <summary>What earlier visits of the clinic say, each with its visit; no section when they say nothing.</summary>
    public static IEnumerable<Composition.SectionComponent> History(EncounterRecord record, TriageDecision decision)
    {
        List<string> lines = [.. decision.History.Select(fact => HistoryMapper.Words(fact))];
        return lines.Count == 0 ? [] : [Of("From earlier visits to this clinic", lines, record.History, record.Language)];
    }

    /// <summary>Rules of tier T4 say how to work on an ear and are never a reason to refer; no section when none fired.</summary>
    public static IEnumerable<Composition.SectionComponent> Method(EncounterRecord record, TriageDecision decision)
    {
        var notes = decision.Fired.Where(rule => rule.Tier is Tier.T4).Select(rule => RuleEvidence.Sentence(rule, record)).ToList();
        return notes.Count == 0 ? [] : [Of("Notes on method", notes, [], record.Language)];
    }

    public static Composition.SectionComponent Advice(ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, ReferralResources? referral)
    {
        var observations = record.Observations.Where(ObservationMeaning.IsAdvice).ToList();
        var urgency = Urgency.Of(encounter, decision);
        var awaited = RuleAnswers.Of(encounter, decision).Any(answer => answer.Settles && answer.Response.Kind is RuleResponseKind.AlreadyReferred);
        List<string> lines =
        [
            .. observations.Where(observation => observation.DataAbsentReason is null).Select(Words.Of),
            encounter.FollowUp is { } next ? $"Follow-up: {ProcedureMapper.FollowUpWords(next)}" : "Follow-up: not recorded",
            .. referral is null && decision.IsTriaged && !awaited ? new[] { "No referral is under way, so the patient waits for no answer." } : [],
            $"To tell the patient: {(RuleAnswers.KeptFromGp(encounter, decision).Count > 0 ? PatientAdvice.ForGp(encounter, decision, urgency) : referral?.Request.PatientInstruction ?? string.Join(' ', PatientAdvice.SafetyNet(encounter, decision, urgency)))}",
        ];
        return Of("Advice, follow-up and safety net", lines, observations.Where(ObservationMeaning.IsFound), record.Language);
    }

    /// <summary>What nobody asked or saw is listed as such, so that silence is never read as "no".</summary>
    public static Composition.SectionComponent Unknown(EncounterRecord record, TriageDecision decision)
    {
        List<string> lines =
        [
            .. decision.Questions.Select(question => $"Open question ({question.RuleId}"
                + (question.Side is { } side ? $", {BodySites.Words(ReferralMapper.Side(side)).ToLowerInvariant()}" : string.Empty)
                + $"): {question.Text}"),
            .. record.Observations.Where(ObservationMeaning.IsPossibleCause)
                .Select(observation => $"To ask ({Lower(observation.BodySite?.Text)}): what may have moved the wax inward, such as cotton buds, ear plugs or a hearing aid?"),
            .. record.Observations.Where(observation => observation.DataAbsentReason is not null)
                .Select(observation => $"{(observation.BodySite is { } site ? site.Text + ", " : string.Empty)}{Words.Of(observation)}"),
        ];
        return Of("Open questions, and what was not asked or not seen", lines, [], record.Language);
    }

    private static string Done(EarExamination ear, Procedure? procedure) => procedure is null
        ? "Done: nothing was done to this ear"
        : $"Done: {procedure.Code?.Text}. {(ear.Outcome is { } outcome ? ProcedureMapper.OutcomeWords(outcome.Result) : "Outcome not recorded")}"
            + (procedure.StatusReason is { } reason ? $" ({reason.Text})" : string.Empty);

    /// <summary>What was told and found one by one, what was denied in one sentence.</summary>
    private static List<string> Told(IEnumerable<Observation> observations) => Block(observations, "Asked and denied");

    private static List<string> Seen(IEnumerable<Observation> observations) => Block(observations, "Looked for and not there");

    private static List<string> Block(IEnumerable<Observation> observations, string denial)
    {
        var known = observations.Where(observation => observation.DataAbsentReason is null).ToList();
        var denied = known.Where(ObservationMeaning.IsDenied).Select(Words.Asked).ToList();
        return [.. known.Where(ObservationMeaning.IsFound).Select(Words.Of), .. denied.Count == 0 ? [] : new[] { $"{denial}: {string.Join(", ", denied)}." }];
    }

    private static bool IsThreshold(Observation observation) =>
        ObservationMeaning.Code(observation) is var code && (code == LocalCodes.Threshold.Code || code == LocalCodes.EarlierThreshold.Code);

    private static string Lower(string? text) => text?.ToLowerInvariant() ?? string.Empty;
}
