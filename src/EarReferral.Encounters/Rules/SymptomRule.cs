using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>What is denied is not described; explicit negatives, and what may be true of earlier episodes, stay allowed.</summary>
internal static class SymptomRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) =>
    [
        .. WholePatient(subject.Encounter),
        .. subject.Ears.SelectMany(at => OneEar(at.Ear, at.Pointer)),
    ];

    private static IEnumerable<EncounterProblem> WholePatient(ClinicEncounter encounter)
    {
        if (encounter.Vertigo is { Present: Answer.No } vertigo
            && (vertigo.OnsetDate is not null || AnyYes(vertigo.SuddenOnset, vertigo.Resolved, vertigo.Recurrent, vertigo.NauseaOrVomiting)))
        {
            yield return RuleProblems.VertigoDetails.At("/vertigo/present");
        }

        if (encounter.Neurology is { FacialWeakness: BodySide.None } face
            && (face.FacialWeaknessOnset is not null || face.FacialWeaknessOnsetDate is not null || AnyYes(face.ForeheadInvolved, face.FacialWeaknessOldUnchanged)))
        {
            yield return RuleProblems.FacialWeaknessDetails.At("/neurology/facialWeakness");
        }

        if (encounter.HeadInjury is { Present: Answer.No, Date: not null })
        {
            yield return RuleProblems.HeadInjuryDetails.At("/headInjury/present");
        }
    }

    private static IEnumerable<EncounterProblem> OneEar(EarExamination ear, string pointer)
    {
        if (ear.Tinnitus is { Present: Answer.No } tinnitus
            && (tinnitus.OnsetDate is not null || AnyYes(tinnitus.Pulsatile, tinnitus.SuddenOnset, tinnitus.Persistent, tinnitus.Objective, tinnitus.Changed)))
        {
            yield return RuleProblems.TinnitusDetails.At($"{pointer}/tinnitus/present");
        }

        if (ear.Pain is { Present: Answer.No } pain
            && (pain.StartDate is not null || pain.Severity is Severity.Mild or Severity.Moderate or Severity.Severe
                || AnyYes(pain.NocturnalSevere, pain.OutOfProportion) || Tried(pain.RespondedToTreatment)))
        {
            yield return RuleProblems.PainDetails.At($"{pointer}/pain/present");
        }

        // A dry ear may have discharged before: recurrence and the last mucous discharge stay allowed.
        if (ear.Discharge is { Present: Answer.No } discharge
            && (discharge.Kind is not (null or DischargeKind.NotSeen) || discharge.StartDate is not null || discharge.TreatmentStart is not null
                || discharge.TreatmentStartDate is not null || AnyYes(discharge.WorseOnTreatment) || Tried(discharge.RespondedToTreatment)))
        {
            yield return RuleProblems.DischargeDetails.At($"{pointer}/discharge/present");
        }

        if (ear.ForeignBody is { Present: Answer.No } body
            && (body.Kind is not null || body.Attempts > 0 || AnyYes(body.Removed, body.WedgedOrOnDrum)))
        {
            yield return RuleProblems.ForeignBodyDetails.At($"{pointer}/foreignBody/present");
        }

        if (ear.Trauma is { Penetrating: Answer.No, PressureOrBlast: Answer.No, Date: not null })
        {
            yield return RuleProblems.TraumaDetails.At($"{pointer}/trauma/date");
        }

        if (ear.SoftenerBefore is { Used: Answer.No } softener
            && (softener.Product is not null || softener.Days > 0 || softener.TimesADay > 0 || AnyYes(softener.StillUsing)))
        {
            yield return RuleProblems.SoftenerDetails.At($"{pointer}/softenerBefore/used");
        }

        if (ear.History is { Grommet: GrommetState.Never or GrommetState.InPlace, GrommetOutDate: not null })
        {
            yield return RuleProblems.GrommetOut.At($"{pointer}/history/grommetOutDate");
        }
    }

    private static bool AnyYes(params ReadOnlySpan<Answer?> answers) => answers.Contains(Answer.Yes);

    private static bool Tried(TreatmentResponse? response) => response is not (null or TreatmentResponse.NotAsked);
}
