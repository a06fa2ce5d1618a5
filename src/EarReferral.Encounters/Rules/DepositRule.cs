using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>A step works on deposits of its own ear; naming one of the other ear means that a side is wrong somewhere.</summary>
internal static class DepositRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        foreach (var (ear, pointer) in subject.Ears)
        {
            var own = new HashSet<string>(StringComparer.Ordinal);
            for (var i = 0; i < ear.Deposits.Count; i++)
            {
                if (!own.Add(ear.Deposits[i].Id))
                {
                    yield return RuleProblems.DepositTwice.At($"{pointer}/deposits/{i}/id");
                }
            }

            for (var i = 0; i < ear.Steps.Count; i++)
            {
                for (var k = 0; k < ear.Steps[i].Deposits.Count; k++)
                {
                    var named = ear.Steps[i].Deposits[k];
                    if (!own.Contains(named))
                    {
                        var elsewhere = subject.Encounter.Ears.Any(other => other.Side != ear.Side && other.Deposits.Any(deposit => deposit.Id == named));
                        yield return (elsewhere ? RuleProblems.DepositOfOtherEar : RuleProblems.DepositUnknown).At($"{pointer}/steps/{i}/deposits/{k}");
                    }
                }
            }
        }
    }
}
