using EarReferral.Encounters;

namespace EarReferral.Mapping.Codes;

/// <summary>Members of the contract's closed lists that a SNOMED CT concept means; the ConceptMaps in profiles say the same.</summary>
public static class ListTerms
{
    /// <summary>The concept of a wall of the canal; null for all round.</summary>
    public static Term? Of(CanalWall wall) => wall switch
    {
        CanalWall.Anterior => Snomed.Anterior,
        CanalWall.Posterior => Snomed.Posterior,
        CanalWall.Superior => Snomed.Superior,
        CanalWall.Inferior => Snomed.Inferior,
        CanalWall.AllRound => null,
    };

    /// <summary>The concept of a filling of the canal; null where nothing fills it.</summary>
    public static Term? Of(Occlusion occlusion) => occlusion switch
    {
        Occlusion.None => null,
        Occlusion.Partial => Snomed.Partial,
        Occlusion.Complete => Snomed.Complete,
    };

    /// <summary>The concept of a role; null where SNOMED CT has none that was seen.</summary>
    public static Term? Of(PractitionerRole role) => role switch
    {
        PractitionerRole.RegisteredNurse => Snomed.RegisteredNurse,
        PractitionerRole.NursePractitioner => Snomed.NursePractitioner,
        PractitionerRole.Audiologist => Snomed.Audiologist,
        PractitionerRole.HearingAidDispenser => Snomed.HearingAidDispenser,
        PractitionerRole.HearingTherapist => Snomed.HearingTherapist,
        PractitionerRole.EntSurgeon => Snomed.EntSurgeon,
        PractitionerRole.Doctor or PractitionerRole.Other => null,
    };
}
