using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Nothing is done to an ear without consent to treatment, and no picture is kept that the patient refused.</summary>
internal static class ConsentRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        if (subject.Encounter.Consent.Treatment != Answer.Yes && subject.Encounter.Ears.Any(ear => ear.Steps.Count > 0))
        {
            yield return RuleProblems.NoConsent.At("/consent/treatment");
        }

        if (subject.Encounter.Consent.RecordingImages is Answer.No && subject.Encounter.Images.Count > 0)
        {
            yield return RuleProblems.ImagesRefused.At("/consent/recordingImages");
        }
    }
}
