using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Age can be true, and the practice or the reason for having none is there.</summary>
internal static class PatientRule
{
    private const int OldestAge = 125;

    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        var patient = subject.Encounter.Patient;
        if (patient.BirthDate > subject.EvaluationDate)
        {
            yield return RuleProblems.BirthAfterVisit.At("/patient/birthDate");
        }

        if (patient.BirthDate.AddYears(OldestAge) < subject.EvaluationDate)
        {
            yield return RuleProblems.TooOld.At("/patient/birthDate");
        }

        if (patient.GpPractice is null && patient.GpPracticeAbsentReason is null)
        {
            yield return RuleProblems.PracticeMissing.At("/patient/gpPractice");
        }

        if (patient.GpPractice is not null && patient.GpPracticeAbsentReason is not null)
        {
            yield return RuleProblems.PracticeAndReason.At("/patient/gpPracticeAbsentReason");
        }
    }
}
