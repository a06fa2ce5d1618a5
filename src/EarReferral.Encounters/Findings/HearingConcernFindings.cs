namespace EarReferral.Encounters.Findings;

/// <summary>Hearing and tinnitus as they concern the whole person.</summary>
internal static class HearingConcernFindings
{
    private static readonly FindingBlock<ClinicEncounter, TinnitusDistress> TinnitusDistress = new("tinnitus-distress", encounter => encounter.TinnitusDistress);
    private static readonly FindingBlock<ClinicEncounter, HearingConcern> HearingConcern = new("hearing-concern", encounter => encounter.HearingConcern);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        TinnitusDistress.Answer("distressing", "Tinnitus: distressing", it => it.Distressing),
        TinnitusDistress.Answer("support-given", "Tinnitus: support given", it => it.SupportGiven),
        TinnitusDistress.Coded("suicide-risk", "Tinnitus: suicide risk", it => it.SuicideRisk),

        HearingConcern.Answer("one-sided-main-concern", "One-sided or asymmetric hearing loss is the main concern", it => it.OneSidedMainConcern),
        HearingConcern.Answer("hyperacusis-distress", "Distress from loudness of sounds", it => it.HyperacusisDistress),
        HearingConcern.Answer("not-age-related", "Hearing loss not of the kind that comes with age", it => it.NotAgeRelated),
    ];
}
