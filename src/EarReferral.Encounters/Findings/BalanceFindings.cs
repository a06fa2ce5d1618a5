namespace EarReferral.Encounters.Findings;

/// <summary>Dizziness and balance.</summary>
internal static class BalanceFindings
{
    private static readonly FindingBlock<ClinicEncounter, Vertigo> Vertigo = new("vertigo", encounter => encounter.Vertigo);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        Vertigo.Answer("present", "Vertigo or dizziness", it => it.Present),
        Vertigo.Answer("sudden-onset", "Vertigo: sudden onset", it => it.SuddenOnset),
        Vertigo.Date("onset-date", "Vertigo: onset date", it => it.OnsetDate),
        Vertigo.Answer("resolved", "Vertigo: resolved", it => it.Resolved),
        Vertigo.Answer("recurrent", "Vertigo: recurrent", it => it.Recurrent),
        Vertigo.Answer("gait-unsteady", "New unsteady gait", it => it.GaitUnsteady),
        Vertigo.Answer("nausea-or-vomiting", "Vertigo: nausea or vomiting", it => it.NauseaOrVomiting),
        Vertigo.Coded("nystagmus", "Nystagmus", it => it.Nystagmus),
        Vertigo.Coded("positional-test", "Positional test", it => it.PositionalTest),
        Vertigo.Answer("postural-drop", "Vertigo: postural drop", it => it.PosturalDrop),
        Vertigo.Answer("resolved-after-treating-low-glucose", "Vertigo: gone after low glucose was treated", it => it.ResolvedAfterTreatingLowGlucose),
        Vertigo.Answer("hints-trained", "Somebody trained in the HINTS test available", it => it.HintsTrained),
        Vertigo.Coded("hints-result", "HINTS test", it => it.HintsResult),
        Vertigo.Answer("head-impulse-normal", "Head impulse test normal", it => it.HeadImpulseNormal),
        Vertigo.Answer("skew-deviation", "Skew deviation", it => it.SkewDeviation),
    ];
}
