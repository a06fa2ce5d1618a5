namespace EarReferral.Encounters.Findings;

/// <summary>Neck, mouth, voice and injury.</summary>
internal static class HeadAndNeckFindings
{
    private static readonly FindingBlock<ClinicEncounter, HeadAndNeck> HeadAndNeck = new("head-and-neck", encounter => encounter.HeadAndNeck);
    private static readonly FindingBlock<ClinicEncounter, HeadInjury> HeadInjury = new("head-injury", encounter => encounter.HeadInjury);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        HeadAndNeck.Answer("neck-lump", "Unexplained neck lump", it => it.NeckLump),
        HeadAndNeck.Answer("parotid-mass", "Parotid mass", it => it.ParotidMass),
        HeadAndNeck.Answer("thyroid-lump", "Unexplained thyroid lump", it => it.ThyroidLump),
        HeadAndNeck.Answer("hoarseness", "Persistent unexplained hoarseness", it => it.Hoarseness),
        HeadAndNeck.Date("hoarseness-start", "Start of hoarseness", it => it.HoarsenessStart),
        HeadAndNeck.Answer("mouth-ulcer", "Unexplained mouth ulcer", it => it.MouthUlcer),
        HeadAndNeck.Date("mouth-ulcer-start", "Start of mouth ulcer", it => it.MouthUlcerStart),

        HeadInjury.Answer("present", "Head or neck injury", it => it.Present),
        HeadInjury.Date("date", "Head or neck injury: date", it => it.Date),
    ];
}
