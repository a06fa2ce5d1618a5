namespace EarReferral.Encounters.Findings;

/// <summary>Conditions and treatments of the whole patient, and earlier care.</summary>
internal static class BackgroundFindings
{
    private static readonly FindingBlock<ClinicEncounter, Background> Background = new("background", encounter => encounter.Background);
    private static readonly FindingBlock<ClinicEncounter, EarlierCare> EarlierCare = new("earlier-care", encounter => encounter.EarlierCare);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        Background.Answer("immunocompromised", "Weakened immune defence", it => it.Immunocompromised),
        Background.Answer("diabetes", "Diabetes", it => it.Diabetes),
        Background.Answer("anticoagulant", "Anticoagulant treatment", it => it.Anticoagulant),
        Background.Answer("head-neck-radiation", "Radiotherapy to head or neck", it => it.HeadNeckRadiation),
        Background.Answer("family-origin-chinese-or-south-east-asian", "Chinese or south-east Asian family origin", it => it.FamilyOriginChineseOrSouthEastAsian),
        Background.Answer("cannot-keep-still", "Cannot keep still for the procedure", it => it.CannotKeepStill),
        Background.Answer("cleft-palate", "Cleft palate", it => it.CleftPalate),
        Background.Text("note", "Background, note", it => it.Note),

        EarlierCare.Answer("already-investigated-unchanged", "Already investigated for this complaint and unchanged", it => it.AlreadyInvestigatedUnchanged),
        EarlierCare.Text("note", "Earlier care: note", it => it.Note),
    ];
}
