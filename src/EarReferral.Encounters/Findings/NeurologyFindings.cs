namespace EarReferral.Encounters.Findings;

/// <summary>Face, limbs, speech and other nerves.</summary>
internal static class NeurologyFindings
{
    private static readonly FindingBlock<ClinicEncounter, Neurology> Neurology = new("neurology", encounter => encounter.Neurology);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        Neurology.Coded("facial-weakness", "Side of facial weakness", it => it.FacialWeakness),
        Neurology.Instant("facial-weakness-onset", "Onset of facial weakness, instant", it => it.FacialWeaknessOnset),
        Neurology.Date("facial-weakness-onset-date", "Onset of facial weakness, date", it => it.FacialWeaknessOnsetDate),
        Neurology.Answer("forehead-involved", "Forehead involved in facial weakness", it => it.ForeheadInvolved),
        Neurology.Answer("facial-weakness-old-unchanged", "Facial weakness old and unchanged", it => it.FacialWeaknessOldUnchanged),
        Neurology.Coded("facial-altered-sensation", "Side of altered facial sensation", it => it.FacialAlteredSensation),
        Neurology.Answer("limb-weakness", "Limb weakness", it => it.LimbWeakness),
        Neurology.Answer("speech-disturbance", "Speech disturbance", it => it.SpeechDisturbance),
        Neurology.Answer("other-cranial-nerve-palsy", "Other cranial nerve palsy", it => it.OtherCranialNervePalsy),
        Neurology.Answer("sixth-nerve-palsy", "Sixth nerve palsy", it => it.SixthNervePalsy),
        Neurology.Answer("stroke-suspected", "Stroke suspected", it => it.StrokeSuspected),
        Neurology.Answer("central-loss-progressive", "Progressive loss of central nervous function", it => it.CentralLossProgressive),
    ];
}
