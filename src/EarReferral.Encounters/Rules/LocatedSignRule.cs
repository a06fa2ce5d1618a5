using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>A place is given only for a sign of that part of the ear that is present.</summary>
internal static class LocatedSignRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) => subject.Otoscopies.SelectMany(at => (IEnumerable<EncounterProblem>)
    [
        .. at.Otoscopy.Canal is { } canal ? Sites(canal.Sites, [.. Signs(canal)], $"{at.Pointer}/canal/sites") : [],
        .. Sites(at.Otoscopy.Drum.Sites, [.. DrumRule.Signs(at.Otoscopy.Drum)], $"{at.Pointer}/drum/sites"),
    ]);

    private static IEnumerable<EncounterProblem> Sites(IReadOnlyList<LocatedSign> sites, (Sign? Sign, string Member)[] signs, string pointer)
    {
        for (var i = 0; i < sites.Count; i++)
        {
            var index = Array.FindIndex(signs, sign => sign.Member == sites[i].Sign);
            if (index < 0)
            {
                yield return RuleProblems.SiteOfUnknownSign.At($"{pointer}/{i}/sign");
            }
            else if (signs[index].Sign != Sign.Present)
            {
                yield return RuleProblems.SiteOfMissingSign.At($"{pointer}/{i}/sign");
            }
        }
    }

    private static IEnumerable<(Sign? Sign, string Member)> Signs(Canal canal) =>
    [
        (canal.Swollen, "swollen"),
        (canal.OuterEarInfection, "outerEarInfection"),
        (canal.Wound, "wound"),
        (canal.Blood, "blood"),
        (canal.Granulation, "granulation"),
        (canal.ExposedBone, "exposedBone"),
        (canal.Polyp, "polyp"),
        (canal.Exostosis, "exostosis"),
        (canal.Stenosis, "stenosis"),
        (canal.DrySkin, "drySkin"),
        (canal.DebrisBlocking, "debrisBlocking"),
        (canal.ClearFluid, "clearFluid"),
        (canal.SuspiciousLesion, "suspiciousLesion"),
    ];
}
