namespace EarReferral.Encounters.Findings;

/// <summary>Pinna, mastoid, injury and foreign objects of one ear.</summary>
internal static class OuterEarFindings
{
    private static readonly FindingBlock<EarExamination, OuterEar> OuterEar = new("outer-ear", ear => ear.OuterEar);
    private static readonly FindingBlock<EarExamination, EarTrauma> EarTrauma = new("trauma", ear => ear.Trauma);
    private static readonly FindingBlock<EarExamination, ForeignBody> ForeignBody = new("foreign-body", ear => ear.ForeignBody);

    public static readonly IReadOnlyList<Finding<EarExamination>> Rows =
    [
        OuterEar.Sign("pinna-swelling", "Swelling of the pinna", it => it.PinnaSwelling),
        OuterEar.Sign("pinna-haematoma", "Pinna haematoma", it => it.PinnaHaematoma),
        OuterEar.Sign("cellulitis", "Cellulitis of the pinna or the skin around", it => it.Cellulitis),
        OuterEar.Sign("pinna-displaced", "Pinna pushed forward", it => it.PinnaDisplaced),
        OuterEar.Sign("mastoid-tender", "Mastoid tender", it => it.MastoidTender),
        OuterEar.Sign("mastoid-red", "Mastoid red", it => it.MastoidRed),
        OuterEar.Sign("mastoid-swollen", "Mastoid swollen", it => it.MastoidSwollen),
        OuterEar.Sign("mastoid-bruise", "Mastoid bruise", it => it.MastoidBruise),
        OuterEar.Sign("vesicles", "Vesicles in or around the ear or on the palate", it => it.Vesicles),

        EarTrauma.Answer("penetrating", "Ear injury: penetrating", it => it.Penetrating),
        EarTrauma.Answer("pressure-or-blast", "Ear injury: pressure or blast", it => it.PressureOrBlast),
        EarTrauma.Date("date", "Ear injury: date", it => it.Date),

        ForeignBody.Answer("present", "Foreign object in the ear canal", it => it.Present),
        ForeignBody.Coded("kind", "Foreign object: kind", it => it.Kind),
        ForeignBody.Answer("removed", "Foreign object: removed", it => it.Removed),
        ForeignBody.Quantity("attempts", "Foreign object: attempts", "1", it => it.Attempts),
        ForeignBody.Answer("wedged-or-on-drum", "Foreign object: wedged or on drum", it => it.WedgedOrOnDrum),
    ];
}
