using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
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
        var before = observations.Where(observation => Is(observation, LocalCodes.Before)).ToList();
        var after = observations.Where(observation => Is(observation, LocalCodes.After)).ToList();
        var steps = observations.Where(observation => observation.Code?.Coding.Any(coding => coding.Code == LocalCodes.Step.Code && coding.System == LocalCodes.Step.System) is true).ToList();
        var history = observations.Except(before).Except(after).Except(steps).ToList();
        var procedure = record.Procedures.GetValueOrDefault(ear.Side);
        var text = new Xhtml(record.Language)
            .Strong(side)
            .Paragraph("Told and examined").List(Known(history))
            .Paragraph("Seen before").List(Known(before.Where(observation => !IsDeposit(observation))))
            .List([.. ear.Deposits.Select(deposit => $"Found: {DepositMapper.Words(deposit)}")])
            .Paragraph(Done(ear, procedure)).List([.. procedure?.Note.Select(note => note.Text ?? string.Empty) ?? []])
            .List([.. procedure?.Complication.Select(complication => $"Complication: {complication.Text}") ?? []])
            .Paragraph(ear.After is null ? "Seen after: not examined" : "Seen after")
            .List(Known(after.Where(observation => observation.Code?.Text != LocalCodes.Residual.Display)));
        foreach (var left in ear.Outcome?.Left ?? [])
        {
            text.Paragraph(DepositMapper.Words(left) + (left.OnPurpose && left.At.Part is EarPart.OnDrum
                ? " Work on the drum hurts and can make a hole, so it was left there."
                : string.Empty));
        }

        return new Composition.SectionComponent
        {
            Title = side,
            Text = text.Generated(),
            Entry = [.. procedure is null ? [] : new[] { ResourceStamp.To(procedure) }, .. observations.Select(ResourceStamp.To)],
        };
    }

    public static Composition.SectionComponent Patient(ClinicEncounter encounter, EncounterRecord record)
    {
        var observations = record.Observations.Where(observation => observation.BodySite is null && !IsAdvice(observation)).ToList();
        List<string> lines =
        [
            .. encounter.ReasonForVisit is { } reason ? new[] { $"Reason for the visit: {reason}" } : [],
            .. encounter.OthersPresent.Count > 0 ? new[] { $"Also present: {string.Join(", ", encounter.OthersPresent)}" } : [],
            $"Agreed to the procedure: {ReferralNotes.Word(encounter.Consent.Treatment)}",
            encounter.Medicines.Count == 0 ? "Medicines: not recorded" : $"Medicines: {string.Join("; ", encounter.Medicines)}",
            encounter.Allergies.Count == 0 ? "Allergies: not recorded" : $"Allergies: {string.Join("; ", encounter.Allergies)}",
            .. Known(observations),
            .. ContactAdvice.Lines(encounter.Reaching),
        ];
        return Of("The patient", lines, observations, record.Language);
    }

    public static Composition.SectionComponent Advice(ClinicEncounter encounter, EncounterRecord record, ReferralResources? referral)
    {
        var observations = record.Observations.Where(IsAdvice).ToList();
        List<string> lines =
        [
            .. observations.Select(Words.Of),
            encounter.FollowUp is { } next ? $"Follow-up: {ProcedureMapper.FollowUpWords(next)}" : "Follow-up: not recorded",
            referral?.Request.Occurrence is Period { EndElement: { } end } && end.TryToDateTimeOffset(out var due)
                ? $"Told to the patient: {ReferralNotes.SafetyNet(encounter, due)}"
                : "No referral is under way, so the patient waits for no answer.",
        ];
        return Of("Advice, follow-up and safety net", lines, observations, record.Language);
    }

    /// <summary>What nobody asked or saw is listed as such, so that silence is never read as "no".</summary>
    public static Composition.SectionComponent Unknown(EncounterRecord record, TriageDecision decision)
    {
        List<string> lines =
        [
            .. decision.Questions.Select(question => $"Open question ({question.RuleId}"
                + (question.Side is { } side ? $", {BodySites.Words(ReferralMapper.Side(side)).ToLowerInvariant()}" : string.Empty)
                + $"): {question.Text}"),
            .. record.Observations.Where(observation => observation.DataAbsentReason is not null)
                .Select(observation => $"{(observation.BodySite is { } site ? site.Text + ", " : string.Empty)}{Words.Of(observation)}"),
        ];
        return Of("Open questions, and what was not asked or not seen", lines, [], record.Language);
    }

    private static string Done(EarExamination ear, Procedure? procedure) => procedure is null
        ? "Done: nothing was done to this ear"
        : $"Done: {procedure.Code?.Text}. {(ear.Outcome is { } outcome ? ProcedureMapper.OutcomeWords(outcome.Result) : "Outcome not recorded")}"
            + (procedure.StatusReason is { } reason ? $" ({reason.Text})" : string.Empty);

    private static List<string> Known(IEnumerable<Observation> observations) =>
        [.. observations.Where(observation => observation.DataAbsentReason is null).Select(Words.Of)];

    private static bool Is(Observation observation, Term moment) =>
        observation.Category.Any(category => category.Coding.Any(coding => coding.System == moment.System && coding.Code == moment.Code));

    private static bool IsDeposit(Observation observation) => observation.Code?.Text == LocalCodes.Deposit.Display;

    private static bool IsAdvice(Observation observation) => observation.Code?.Coding.Any(coding =>
        coding.System == CodeSystems.Finding && coding.Code?.StartsWith("advice-", StringComparison.Ordinal) is true) is true;
}
