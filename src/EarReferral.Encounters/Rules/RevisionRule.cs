using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>A correction names what it corrects.</summary>
internal static class RevisionRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        var revision = subject.Encounter.Revision;
        if (subject.Encounter.Supersedes is not { } supersedes)
        {
            if (revision > 1)
            {
                yield return RuleProblems.SupersedesMissing.At("/supersedes");
            }
        }
        else if (revision == 1)
        {
            yield return RuleProblems.SupersedesOnFirst.At("/supersedes");
        }
        else if (supersedes.Revision != revision - 1)
        {
            yield return RuleProblems.SupersedesWrongRevision.At("/supersedes/revision");
        }
    }
}
