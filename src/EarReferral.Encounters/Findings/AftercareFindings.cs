namespace EarReferral.Encounters.Findings;

/// <summary>Complications of the whole patient and the advice given.</summary>
internal static class AftercareFindings
{
    private static readonly FindingBlock<ClinicEncounter, PatientComplications> PatientComplications = new("patient-complications", encounter => encounter.Complications);
    private static readonly FindingBlock<ClinicEncounter, Advice> Advice = new("advice", encounter => encounter.Advice);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        PatientComplications.Coded("vertigo", "Complication: vertigo", it => it.Vertigo),
        PatientComplications.Quantity("vertigo-minutes", "Complication: vertigo minutes", "min", it => it.VertigoMinutes),
        PatientComplications.Answer("faint", "Complication: faint", it => it.Faint),
        PatientComplications.Answer("fall", "Complication: fall", it => it.Fall),
        PatientComplications.Answer("head-strike", "Complication: head strike", it => it.HeadStrike),
        PatientComplications.Answer("new-facial-weakness", "Complication: new facial weakness", it => it.NewFacialWeakness),

        Advice.Answer("nothing-in-ear", "Advice: nothing in ear", it => it.NothingInEar),
        Advice.Answer("keep-dry", "Advice: keep dry", it => it.KeepDry),
        Advice.Text("drops-advised", "Advice: drops advised", it => it.DropsAdvised),
        Advice.Answer("when-to-seek-help", "Advice: when to seek help", it => it.WhenToSeekHelp),
        Advice.Answer("leaflet-given", "Advice: leaflet given", it => it.LeafletGiven),
        Advice.Text("note", "Advice: note", it => it.Note),
    ];
}
