namespace EarReferral.Encounters.Findings;

/// <summary>Earlier disease and operations of one ear, and softeners used before.</summary>
internal static class EarHistoryFindings
{
    private static readonly FindingBlock<EarExamination, EarHistory> EarHistory = new("ear-history", ear => ear.History);
    private static readonly FindingBlock<EarExamination, SoftenerUse> SoftenerUse = new("softener-before", ear => ear.SoftenerBefore);

    public static readonly IReadOnlyList<Finding<EarExamination>> Rows =
    [
        EarHistory.Answer("ear-surgery", "Ear history: ear surgery", it => it.EarSurgery),
        EarHistory.Text("ear-surgery-kind", "Ear history: ear surgery kind", it => it.EarSurgeryKind),
        EarHistory.Coded("grommet", "Ear history: grommet", it => it.Grommet),
        EarHistory.Date("grommet-out-date", "Ear history: grommet out date", it => it.GrommetOutDate),
        EarHistory.Answer("drum-documented-intact", "Ear history: drum documented intact", it => it.DrumDocumentedIntact),
        EarHistory.Answer("perforation-known", "Ear history: perforation known", it => it.PerforationKnown),
        EarHistory.Answer("perforation-healed", "Ear history: perforation healed", it => it.PerforationHealed),
        EarHistory.Date("middle-ear-infection-end", "Ear history: middle ear infection end", it => it.MiddleEarInfectionEnd),
        EarHistory.Answer("only-hearing-ear", "Ear history: only hearing ear", it => it.OnlyHearingEar),
        EarHistory.Answer("earlier-irrigation-problem", "Ear history: earlier irrigation problem", it => it.EarlierIrrigationProblem),
        EarHistory.Answer("hearing-aid", "Ear history: hearing aid", it => it.HearingAid),
        EarHistory.Answer("cotton-buds", "Ear history: cotton buds", it => it.CottonBuds),
        EarHistory.Answer("acute-middle-ear-infection", "Ear history: acute middle ear infection", it => it.AcuteMiddleEarInfection),
        EarHistory.Text("under-ent-care", "Ear history: under ENT care", it => it.UnderEntCare),

        SoftenerUse.Answer("used", "Softener before visit: used", it => it.Used),
        SoftenerUse.Text("product", "Softener before visit: product", it => it.Product),
        SoftenerUse.Quantity("days", "Softener before visit: days", "d", it => it.Days),
        SoftenerUse.Quantity("times-a-day", "Softener before visit: times a day", "/d", it => it.TimesADay),
        SoftenerUse.Text("advised-by", "Softener before visit: advised by", it => it.AdvisedBy),
        SoftenerUse.Text("effect", "Softener before visit: effect", it => it.Effect),
        SoftenerUse.Answer("still-using", "Softener before visit: still using", it => it.StillUsing),
    ];
}
