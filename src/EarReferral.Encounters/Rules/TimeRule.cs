using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>The zone exists and the instants of the visit are in order.</summary>
internal static class TimeRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        var encounter = subject.Encounter;
        var period = encounter.Period;
        if (subject.Zone is null)
        {
            yield return RuleProblems.ZoneUnknown.At("/clinicTimeZone");
        }

        if (period.End is null && subject.Finished)
        {
            yield return RuleProblems.EndMissing.At("/period/end");
        }

        if (period.End < period.Start)
        {
            yield return RuleProblems.EndBeforeStart.At("/period/end");
        }

        if (encounter.EvaluationInstant < period.Start)
        {
            yield return RuleProblems.EvaluationBeforeStart.At("/evaluationInstant");
        }

        foreach (var (otoscopy, pointer) in subject.Otoscopies)
        {
            if (otoscopy.At < period.Start || otoscopy.At > period.End)
            {
                yield return RuleProblems.OtoscopyOutsideVisit.At($"{pointer}/at");
            }
        }

        foreach (var (ear, pointer) in subject.Ears)
        {
            if (ear.After?.At < ear.Before.At)
            {
                yield return RuleProblems.OtoscopyOrder.At($"{pointer}/after/at");
            }
        }
    }
}
