using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Narrative;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One Procedure per ear; outcome and complications belong to one ear, so both ears never share one.</summary>
internal static class ProcedureMapper
{
    /// <summary>Steps were taken, or the outcome says that none could be.</summary>
    public static bool WasPlanned(EarExamination ear) =>
        ear.Steps.Count > 0 || ear.Outcome?.Result is OutcomeResult.NotStarted or OutcomeResult.Abandoned;

    public static Procedure Map(ClinicEncounter encounter, EarExamination ear, Patient patient, Encounter visit, Hl7.Fhir.Model.PractitionerRole role, EncounterIdentity identity, MappingContext context)
    {
        var procedure = ResourceStamp.Stamp(new Procedure(), identity.Resource($"procedure/{ResourceStamp.Key(ear.Side)}"), "ear-procedure");
        procedure.Identifier = [ResourceStamp.Own(procedure)];
        procedure.Status = Status(encounter.Status, ear.Outcome?.Result);
        procedure.StatusReason = procedure.Status is EventStatus.Stopped or EventStatus.NotDone ? Reason(ear.Outcome?.StopReason) : null;
        procedure.Code = Code(ear);
        procedure.Subject = ResourceStamp.To(patient);
        procedure.Encounter = ResourceStamp.To(visit);
        procedure.Performed = ResourceStamp.Between(ear.Before.At ?? encounter.Period.Start, ear.After?.At ?? encounter.Period.End);
        procedure.Performer = [new Procedure.PerformerComponent { Actor = ResourceStamp.To(role) }];
        procedure.BodySite = [BodySites.Of(ear.Side)];
        procedure.Outcome = Outcome(ear);
        procedure.Complication = [.. Complications(ear.Complications)];
        procedure.FollowUp = FollowUp(encounter);
        procedure.UsedCode = [.. ear.Steps.Select(Used).DistinctBy(used => used.Text)];
        procedure.Note = [.. Notes(ear).Select(line => new Annotation { Text = line })];
        procedure.Text = Describe(procedure, ear, context.Language);
        return procedure;
    }

    /// <summary>A complication of the whole patient belongs to a procedure only where there was one; with two, its Observation alone carries it.</summary>
    public static void AddPatientComplications(PatientComplications? complications, SortedDictionary<EarSide, Procedure> procedures)
    {
        if (complications is null || procedures.Count != 1)
        {
            return;
        }

        var procedure = procedures.Values.Single();
        if (complications.Vertigo is ProcedureVertigo.Transient or ProcedureVertigo.StillPresentAtLeaving)
        {
            procedure.Complication.Add(Snomed.Vertigo.With(CodeSystems.Coding(complications.Vertigo.Value), $"Vertigo, {CodeSystems.Words(complications.Vertigo.Value)}"));
        }

        if (complications.Faint is Answer.Yes)
        {
            procedure.Complication.Add(Snomed.Syncope.Concept("Faint"));
        }
    }

    private static EventStatus Status(EncounterStatus visit, OutcomeResult? result) => result switch
    {
        // A thin layer left on the drum on purpose is a finished, safe procedure: touching the drum hurts and risks a hole.
        OutcomeResult.Clear or OutcomeResult.ThinLayerLeftOnDrum or OutcomeResult.Incomplete => EventStatus.Completed,
        OutcomeResult.Abandoned => EventStatus.Stopped,
        OutcomeResult.NotStarted => EventStatus.NotDone,
        null => visit switch { EncounterStatus.InProgress => EventStatus.InProgress, EncounterStatus.Finished => EventStatus.Unknown },
    };

    /// <summary>An object was the aim when it was there and no wax was listed as work beside it.</summary>
    private static CodeableConcept Code(EarExamination ear) =>
        (ear.ForeignBody?.Present is Answer.Yes || ear.Deposits.Any(deposit => deposit.Material is DepositMaterial.ForeignObject))
        && !ear.Deposits.Any(deposit => deposit.Material is DepositMaterial.Wax)
            ? Snomed.RemovalOfForeignBody.Concept("Removal of a foreign object from the ear")
            : Snomed.RemovalOfEarWax.Concept();

    private static CodeableConcept Reason(StopReason? reason) => reason switch
    {
        null => Hl7Codes.Unknown.Concept("Reason not recorded"),
        StopReason.Declined => Snomed.RefusalByPatient.With(CodeSystems.Coding(reason.Value), "Declined by the patient"),
        _ => CodeSystems.Concept(reason.Value),
    };

    private static CodeableConcept? Outcome(EarExamination ear)
    {
        if (ear.Outcome is not { } outcome)
        {
            return null;
        }

        var term = outcome.Result switch
        {
            OutcomeResult.Clear or OutcomeResult.ThinLayerLeftOnDrum => Snomed.Successful,
            OutcomeResult.Incomplete or OutcomeResult.Abandoned when ear.Steps.Any(step => step.Result is StepResult.Removed or StepResult.PartlyRemoved) => Snomed.PartiallySuccessful,
            OutcomeResult.Incomplete or OutcomeResult.Abandoned => Snomed.Unsuccessful,
            OutcomeResult.NotStarted => null,
        };
        return term?.With(CodeSystems.Coding(outcome.Result), OutcomeWords(outcome.Result));
    }

    public static string OutcomeWords(OutcomeResult result) => result switch
    {
        OutcomeResult.Clear => "Clear",
        OutcomeResult.ThinLayerLeftOnDrum => "Completed; a thin layer was left on the drum on purpose",
        OutcomeResult.Incomplete => "Incomplete",
        OutcomeResult.Abandoned => "Stopped before the end",
        OutcomeResult.NotStarted => "Not started",
    };

    private static IEnumerable<CodeableConcept> Complications(EarComplications? complications)
    {
        if (complications?.Bleeding is { } bleeding and (Bleeding.Stopped or Bleeding.NotStopping))
        {
            yield return Snomed.Bleeding.With(CodeSystems.Coding(bleeding), $"Bleeding, {CodeSystems.Words(bleeding)}");
        }

        if (complications?.Pain is { } pain and (Severity.Mild or Severity.Moderate or Severity.Severe))
        {
            yield return Snomed.Pain.With(CodeSystems.Coding(pain), $"Pain during the procedure, {CodeSystems.Words(pain)}");
        }

        if (complications?.NewPerforation is Sign.Present)
        {
            yield return Snomed.PerforatedEardrum.Concept("New hole in the drum");
        }

        if (complications?.TinnitusNewOrLouder is Answer.Yes)
        {
            yield return Snomed.Tinnitus.Concept("New or louder tinnitus");
        }
    }

    private static List<CodeableConcept> FollowUp(ClinicEncounter encounter) => encounter.FollowUp is { } next
        ? [new CodeableConcept { Coding = [CodeSystems.Coding(next.Kind)], Text = FollowUpWords(next) }]
        : [];

    public static string FollowUpWords(FollowUp next) => string.Join("; ", new[]
    {
        next.Kind switch
        {
            FollowUpKind.None => "No follow-up",
            FollowUpKind.ClinicReview => "Review at the clinic",
            FollowUpKind.GpReview => "Review by the GP practice",
            FollowUpKind.AlreadyUnderEnt => "Already under ENT",
            FollowUpKind.AsNeeded => "As needed",
        },
        next.On?.ToString(),
        next.Note,
    }.OfType<string>());

    private static CodeableConcept Used(ProcedureStep step)
    {
        var concept = new CodeableConcept { Coding = [CodeSystems.Coding(step.Instrument)], Text = StepMapper.InstrumentWords(step) };
        if (step.SuctionEnd is { } end)
        {
            concept.Coding.Add(CodeSystems.Coding(end));
        }

        return concept;
    }

    private static IEnumerable<string> Notes(EarExamination ear)
    {
        foreach (var (step, place) in ear.Steps.Select((step, index) => (step, index + 1)))
        {
            yield return $"Step {place}: {StepMapper.Words(step, ear.Deposits)}";
        }

        foreach (var left in ear.Outcome?.Left ?? [])
        {
            yield return DepositMapper.Words(left);
        }

        if (ear.Movement?.Flinched is Answer.Yes)
        {
            yield return "The patient moved suddenly.";
        }

        if (ear.Movement?.Touched is TouchedPart.CanalSkin or TouchedPart.Drum)
        {
            yield return $"Touched: {CodeSystems.Words(ear.Movement.Touched.Value)}.";
        }
    }

    private static Hl7.Fhir.Model.Narrative Describe(Procedure procedure, EarExamination ear, string language) => new Xhtml(language)
        .Strong($"{BodySites.Words(ear.Side)}: {procedure.Code?.Text}")
        .Paragraph($"Outcome: {(ear.Outcome is { } outcome ? OutcomeWords(outcome.Result) : "not recorded")}"
            + (procedure.StatusReason is { } reason ? $" ({reason.Text})" : string.Empty))
        .List([.. procedure.Note.Select(note => note.Text ?? string.Empty), .. procedure.Complication.Select(complication => $"Complication: {complication.Text}")])
        .Generated();
}
