namespace EarReferral.Encounters.Findings;

/// <summary>Canal and drum as seen in one look.</summary>
internal static class OtoscopyFindings
{
    private static readonly FindingBlock<Otoscopy, Otoscopy> Otoscopy = new("otoscopy", otoscopy => otoscopy);
    private static readonly FindingBlock<Otoscopy, Canal> Canal = new("canal", otoscopy => otoscopy.Canal);
    private static readonly FindingBlock<Otoscopy, Drum> Drum = new("drum", otoscopy => otoscopy.Drum);

    public static readonly IReadOnlyList<Finding<Otoscopy>> Rows =
    [
        Otoscopy.Coded("view", "Instrument used for looking", it => it.View),
        Otoscopy.Text("note", "Otoscopy: note", it => it.Note),

        Canal.Coded("patency", "Ear canal: patency", it => it.Patency),
        Canal.Sign("swollen", "Ear canal swollen", it => it.Swollen),
        Canal.Sign("outer-ear-infection", "Ear canal: outer ear infection", it => it.OuterEarInfection),
        Canal.Sign("wound", "Ear canal: wound", it => it.Wound),
        Canal.Sign("blood", "Ear canal: blood", it => it.Blood),
        Canal.Sign("granulation", "Ear canal: granulation", it => it.Granulation),
        Canal.Sign("exposed-bone", "Ear canal: exposed bone", it => it.ExposedBone),
        Canal.Sign("polyp", "Ear canal: polyp", it => it.Polyp),
        Canal.Sign("exostosis", "Ear canal: exostosis", it => it.Exostosis),
        Canal.Sign("stenosis", "Ear canal: stenosis", it => it.Stenosis),
        Canal.Sign("dry-skin", "Ear canal: dry skin", it => it.DrySkin),
        Canal.Sign("debris-blocking", "Ear canal: debris that blocks cleaning or drops", it => it.DebrisBlocking),
        Canal.Sign("clear-fluid", "Ear canal: clear fluid", it => it.ClearFluid),
        Canal.Sign("suspicious-lesion", "Ear canal: lesion suspicious for cancer", it => it.SuspiciousLesion),
        Canal.Quantity("lesion-score", "Weighted seven-point score of a pigmented lesion", "{score}", it => it.LesionScore),

        Drum.Coded<DrumVisibility>("visualised", "How much of the eardrum was seen", it => it.Visualised),
        Drum.Sign("intact", "Eardrum intact", it => it.Intact),
        Drum.Sign("perforation", "Eardrum perforation", it => it.Perforation),
        Drum.Text("perforation-note", "Eardrum perforation, note", it => it.PerforationNote),
        Drum.Sign("effusion", "Fluid behind the eardrum", it => it.Effusion),
        Drum.Sign("bulging", "Eardrum bulging", it => it.Bulging),
        Drum.Sign("blood-behind", "Blood behind the eardrum", it => it.BloodBehind),
        Drum.Sign("attic-crust", "Eardrum: attic crust", it => it.AtticCrust),
        Drum.Sign("retraction", "Eardrum: retraction", it => it.Retraction),
        Drum.Sign("keratin-or-white-mass", "Eardrum: keratin or white mass", it => it.KeratinOrWhiteMass),
        Drum.Sign("grommet-seen", "Eardrum: grommet seen", it => it.GrommetSeen),
        Drum.Sign("light-reflex", "Eardrum: light reflex", it => it.LightReflex),
        Drum.Coded("appearance", "Eardrum: appearance", it => it.Appearance),
    ];
}
