using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Nothing is said of a drum that was not seen, and nothing excluded on a drum that was partly seen.</summary>
internal static class DrumRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) =>
        subject.Otoscopies.SelectMany(at => Look(at.Otoscopy, $"{at.Pointer}/drum"));

    private static IEnumerable<EncounterProblem> Look(Otoscopy otoscopy, string pointer)
    {
        var drum = otoscopy.Drum;
        if (drum is { Intact: Sign.Present, Perforation: Sign.Present })
        {
            yield return RuleProblems.IntactAndPerforated.At($"{pointer}/intact");
        }

        switch (drum.Visualised)
        {
            case DrumVisibility.Not:
                foreach (var (sign, member) in Signs(drum))
                {
                    if (sign is Sign.Present or Sign.Absent)
                    {
                        yield return RuleProblems.DrumUnseen.At($"{pointer}/{member}");
                    }
                }

                if (drum.Appearance is not null)
                {
                    yield return RuleProblems.DrumUnseen.At($"{pointer}/appearance");
                }

                break;
            case DrumVisibility.Partly:
                if (drum.Intact == Sign.Present)
                {
                    yield return RuleProblems.IntactPartlySeen.At($"{pointer}/intact");
                }

                if (drum.Perforation == Sign.Absent)
                {
                    yield return RuleProblems.NoPerforationPartlySeen.At($"{pointer}/perforation");
                }

                break;
            case DrumVisibility.Fully:
                if (otoscopy.Canal?.Patency is Patency.FullyBlocked or Patency.ClosedBySwelling)
                {
                    yield return RuleProblems.DrumBehindBlockage.At($"{pointer}/visualised");
                }

                break;
        }
    }

    /// <summary>The signs of a drum with the member that carries each.</summary>
    internal static IEnumerable<(Sign? Sign, string Member)> Signs(Drum drum) =>
    [
        (drum.Intact, "intact"),
        (drum.Perforation, "perforation"),
        (drum.Effusion, "effusion"),
        (drum.Bulging, "bulging"),
        (drum.BloodBehind, "bloodBehind"),
        (drum.AtticCrust, "atticCrust"),
        (drum.Retraction, "retraction"),
        (drum.KeratinOrWhiteMass, "keratinOrWhiteMass"),
        (drum.GrommetSeen, "grommetSeen"),
        (drum.LightReflex, "lightReflex"),
    ];
}
