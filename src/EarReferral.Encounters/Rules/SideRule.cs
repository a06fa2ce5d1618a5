using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Each side has one entry, and an image shows an ear that has one.</summary>
internal static class SideRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        var sides = new HashSet<EarSide>();
        foreach (var (ear, pointer) in subject.Ears)
        {
            if (!sides.Add(ear.Side))
            {
                yield return RuleProblems.SideTwice.At($"{pointer}/side");
            }
        }

        var images = subject.Encounter.Images;
        for (var i = 0; i < images.Count; i++)
        {
            if (!sides.Contains(images[i].Side))
            {
                yield return RuleProblems.ImageOfOtherEar.At($"/images/{i}/side");
            }
        }
    }
}
