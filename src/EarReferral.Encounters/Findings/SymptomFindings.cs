namespace EarReferral.Encounters.Findings;

/// <summary>Pain and discharge of one ear.</summary>
internal static class SymptomFindings
{
    private static readonly FindingBlock<EarExamination, EarPain> EarPain = new("pain", ear => ear.Pain);
    private static readonly FindingBlock<EarExamination, EarDischarge> EarDischarge = new("discharge", ear => ear.Discharge);

    public static readonly IReadOnlyList<Finding<EarExamination>> Rows =
    [
        EarPain.Answer("present", "Ear pain", it => it.Present),
        EarPain.Date("start-date", "Ear pain: start date", it => it.StartDate),
        EarPain.Coded("severity", "Ear pain: severity", it => it.Severity),
        EarPain.Answer("nocturnal-severe", "Ear pain: nocturnal severe", it => it.NocturnalSevere),
        EarPain.Answer("out-of-proportion", "Ear pain: out of proportion", it => it.OutOfProportion),
        EarPain.Coded("responded-to-treatment", "Ear pain: responded to treatment", it => it.RespondedToTreatment),

        EarDischarge.Answer("present", "Ear discharge", it => it.Present),
        EarDischarge.Coded("kind", "Ear discharge: kind", it => it.Kind),
        EarDischarge.Date("start-date", "Ear discharge: start date", it => it.StartDate),
        EarDischarge.Instant("treatment-start", "Ear discharge: treatment start", it => it.TreatmentStart),
        EarDischarge.Date("treatment-start-date", "Ear discharge: treatment start date", it => it.TreatmentStartDate),
        EarDischarge.Coded("responded-to-treatment", "Ear discharge: responded to treatment", it => it.RespondedToTreatment),
        EarDischarge.Answer("worse-on-treatment", "Ear discharge: worse on treatment", it => it.WorseOnTreatment),
        EarDischarge.Answer("recurs", "Ear discharge: recurs", it => it.Recurs),
        EarDischarge.Date("last-mucoid-date", "Ear discharge: last mucoid date", it => it.LastMucoidDate),
    ];
}
