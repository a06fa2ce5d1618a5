using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>What was done has a look afterwards and an outcome, and the outcome agrees with what is left.</summary>
internal static class OutcomeRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        foreach (var (ear, pointer) in subject.Ears)
        {
            if (subject.Finished && ear.Steps.Count > 0)
            {
                if (ear.After is null)
                {
                    yield return RuleProblems.AfterMissing.At($"{pointer}/after");
                }

                if (ear.Outcome is null)
                {
                    yield return RuleProblems.OutcomeMissing.At($"{pointer}/outcome");
                }
            }

            if (ear.Outcome is { } outcome && Contradiction(ear, outcome) is { } contradiction)
            {
                yield return contradiction.At($"{pointer}/outcome/result");
            }
        }
    }

    private static ProblemDefinition? Contradiction(EarExamination ear, ProcedureOutcome outcome) => outcome.Result switch
    {
        OutcomeResult.Clear => outcome.Left.Count > 0 ? RuleProblems.ClearWithResidual : null,
        OutcomeResult.ThinLayerLeftOnDrum => outcome.Left.Any(left => left is { OnPurpose: true, At.Part: EarPart.OnDrum }) ? null : RuleProblems.ThinLayer,
        OutcomeResult.Incomplete => outcome.Left.Count > 0 ? null : RuleProblems.IncompleteWithoutResidual,
        OutcomeResult.Abandoned => outcome.StopReason is null ? RuleProblems.AbandonedWithoutReason : null,
        OutcomeResult.NotStarted => ear.Steps.Count > 0 ? RuleProblems.NotStartedWithSteps : null,
    };
}
