namespace EarReferral.Encounters.Findings;

/// <summary>Hearing and tinnitus of one ear.</summary>
internal static class HearingFindings
{
    private static readonly FindingBlock<EarExamination, Hearing> Hearing = new("hearing", ear => ear.Hearing);
    private static readonly FindingBlock<EarExamination, Audiogram> Audiogram = new("audiogram", ear => ear.Audiogram);
    private static readonly FindingBlock<EarExamination, Tinnitus> Tinnitus = new("tinnitus", ear => ear.Tinnitus);

    public static readonly IReadOnlyList<Finding<EarExamination>> Rows =
    [
        Hearing.Coded("change", "Change of hearing", it => it.Change),
        Hearing.Date("onset-date", "Onset of the change of hearing", it => it.OnsetDate),
        Hearing.Quantity("developed-over-hours", "Hours over which the hearing change developed", "h", it => it.DevelopedOverHours),
        Hearing.Quantity("developed-over-days", "Days over which the hearing change developed", "d", it => it.DevelopedOverDays),
        Hearing.Answer("ongoing", "Hearing still getting worse", it => it.Ongoing),
        Hearing.Answer("explained-by-outer-or-middle-ear", "Hearing loss explained by outer or middle ear disease", it => it.ExplainedByOuterOrMiddleEar),
        Hearing.Answer("acquired", "Hearing loss acquired", it => it.Acquired),
        Hearing.Answer("fluctuates", "Hearing loss fluctuates", it => it.Fluctuates),
        Hearing.Answer("with-respiratory-infection", "Hearing loss with respiratory infection", it => it.WithRespiratoryInfection),
        Hearing.Coded("before", "Hearing before the procedure", it => it.Before),
        Hearing.Coded("after", "Hearing after the procedure", it => it.After),
        Hearing.Coded("weber", "Weber test", it => it.Weber),
        Hearing.Coded("rinne", "Rinne test", it => it.Rinne),

        Audiogram.Answer("sensorineural", "Sensorineural loss on the audiogram", it => it.Sensorineural),

        Tinnitus.Answer("present", "Tinnitus", it => it.Present),
        Tinnitus.Answer("pulsatile", "Tinnitus: pulsatile", it => it.Pulsatile),
        Tinnitus.Answer("sudden-onset", "Tinnitus: sudden onset", it => it.SuddenOnset),
        Tinnitus.Date("onset-date", "Tinnitus: onset date", it => it.OnsetDate),
        Tinnitus.Answer("persistent", "Tinnitus: persistent", it => it.Persistent),
        Tinnitus.Answer("objective", "Tinnitus: objective", it => it.Objective),
        Tinnitus.Answer("changed", "Tinnitus: changed", it => it.Changed),
    ];
}
