using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>A change of hearing is described only when there is one, and its hours and days agree.</summary>
internal static class HearingRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        foreach (var (ear, pointer) in subject.Ears)
        {
            if (ear.Hearing is not { } hearing)
            {
                continue;
            }

            if (hearing.Change == HearingChange.None
                && (hearing.OnsetDate is not null || hearing.DevelopedOverDays is not null || hearing.DevelopedOverHours is not null || hearing.Ongoing == Answer.Yes))
            {
                yield return RuleProblems.HearingUnchangedDetails.At($"{pointer}/hearing/change");
            }

            // Days are counted roughly, so one day more or less than the hours say is no contradiction.
            if (hearing is { DevelopedOverHours: { } hours, DevelopedOverDays: { } days } && (hours > 24m * (days + 1) || hours < 24m * (days - 1)))
            {
                yield return RuleProblems.HearingDevelopment.At($"{pointer}/hearing/developedOverHours");
            }
        }
    }
}
