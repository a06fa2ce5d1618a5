namespace EarReferral.Encounters.Findings;

/// <summary>What the procedure on one ear did.</summary>
internal static class ProcedureFindings
{
    private static readonly FindingBlock<EarExamination, PatientMovement> PatientMovement = new("movement", ear => ear.Movement);
    private static readonly FindingBlock<EarExamination, ProcedureOutcome> ProcedureOutcome = new("outcome", ear => ear.Outcome);
    private static readonly FindingBlock<EarExamination, EarComplications> EarComplications = new("complications", ear => ear.Complications);

    public static readonly IReadOnlyList<Finding<EarExamination>> Rows =
    [
        PatientMovement.Answer("flinched", "Procedure: flinched", it => it.Flinched),
        PatientMovement.Coded("touched", "Procedure: touched", it => it.Touched),

        ProcedureOutcome.Coded<OutcomeResult>("result", "Outcome: result", it => it.Result),
        ProcedureOutcome.Coded("stop-reason", "Outcome: stop reason", it => it.StopReason),
        ProcedureOutcome.Quantity("irrigation-attempts", "Outcome: irrigation attempts", "1", it => it.IrrigationAttempts),

        EarComplications.Coded("bleeding", "Complication: bleeding", it => it.Bleeding),
        EarComplications.Coded("pain", "Complication: pain", it => it.Pain),
        EarComplications.Sign("new-perforation", "Complication: new perforation", it => it.NewPerforation),
        EarComplications.Answer("tinnitus-new-or-louder", "Complication: tinnitus new or louder", it => it.TinnitusNewOrLouder),
        EarComplications.Date("tinnitus-since", "Complication: tinnitus since", it => it.TinnitusSince),
    ];
}
