namespace EarReferral.Encounters;

/// <summary>One look into one ear.</summary>
public sealed record Otoscopy
{
    /// <summary>When it was done.</summary>
    public DateTimeOffset? At { get; init; }

    /// <summary>Instrument used for looking.</summary>
    public ViewInstrument? View { get; init; }

    /// <summary>The canal.</summary>
    public Canal? Canal { get; init; }

    /// <summary>The drum.</summary>
    public required Drum Drum { get; init; }

    /// <summary>Free text that the clinician adds.</summary>
    public string? Note { get; init; }
}

/// <summary>Instruments for looking.</summary>
public enum ViewInstrument { Microscope, Loupes, Endoscope, Otoscope, VideoOtoscope }

/// <summary>The ear canal as seen.</summary>
public sealed record Canal
{
    /// <summary>How open it is.</summary>
    public Patency? Patency { get; init; }

    /// <summary>Swollen.</summary>
    public Sign? Swollen { get; init; }

    /// <summary>Infection of the outer ear.</summary>
    public Sign? OuterEarInfection { get; init; }

    /// <summary>A wound.</summary>
    public Sign? Wound { get; init; }

    /// <summary>Blood in the canal.</summary>
    public Sign? Blood { get; init; }

    /// <summary>Granulation tissue.</summary>
    public Sign? Granulation { get; init; }

    /// <summary>Exposed bone.</summary>
    public Sign? ExposedBone { get; init; }

    /// <summary>A polyp.</summary>
    public Sign? Polyp { get; init; }

    /// <summary>Bony growths.</summary>
    public Sign? Exostosis { get; init; }

    /// <summary>Narrowed canal.</summary>
    public Sign? Stenosis { get; init; }

    /// <summary>Dry or flaking skin.</summary>
    public Sign? DrySkin { get; init; }

    /// <summary>Debris that blocks cleaning or drops.</summary>
    public Sign? DebrisBlocking { get; init; }

    /// <summary>Clear fluid that may be cerebrospinal fluid.</summary>
    public Sign? ClearFluid { get; init; }

    /// <summary>Skin lesion suspicious for cancer.</summary>
    public Sign? SuspiciousLesion { get; init; }

    /// <summary>Weighted seven-point score of a pigmented lesion, 0 to 10.</summary>
    public int? LesionScore { get; init; }

    /// <summary>Where what is described lies.</summary>
    public IReadOnlyList<LocatedSign> Sites { get; init => field = value ?? []; } = [];
}

/// <summary>How open a canal is.</summary>
public enum Patency { Clear, PartlyBlocked, FullyBlocked, ClosedBySwelling, NotSeen }

/// <summary>The drum as seen.</summary>
public sealed record Drum
{
    /// <summary>How much of it could be seen.</summary>
    public required DrumVisibility Visualised { get; init; }

    /// <summary>Intact; may be present only when the drum was fully seen.</summary>
    public Sign? Intact { get; init; }

    /// <summary>A hole.</summary>
    public Sign? Perforation { get; init; }

    /// <summary>Size of the hole in words, such as "pinhole".</summary>
    public string? PerforationNote { get; init; }

    /// <summary>Fluid behind the drum.</summary>
    public Sign? Effusion { get; init; }

    /// <summary>Bulging.</summary>
    public Sign? Bulging { get; init; }

    /// <summary>Blood behind the drum.</summary>
    public Sign? BloodBehind { get; init; }

    /// <summary>Crust in the attic.</summary>
    public Sign? AtticCrust { get; init; }

    /// <summary>Retraction pocket.</summary>
    public Sign? Retraction { get; init; }

    /// <summary>Keratin in a pocket or white mass.</summary>
    public Sign? KeratinOrWhiteMass { get; init; }

    /// <summary>Grommet seen in the drum.</summary>
    public Sign? GrommetSeen { get; init; }

    /// <summary>Cone of light; its absence alone means nothing.</summary>
    public Sign? LightReflex { get; init; }

    /// <summary>Overall look.</summary>
    public DrumAppearance? Appearance { get; init; }

    /// <summary>Where what is described lies.</summary>
    public IReadOnlyList<LocatedSign> Sites { get; init => field = value ?? []; } = [];
}

/// <summary>How much of the drum was seen.</summary>
public enum DrumVisibility { Fully, Partly, Not }

/// <summary>Overall look of a drum.</summary>
public enum DrumAppearance { Normal, Dull, Red, Scarred, Retracted, Other }

/// <summary>A sign with the place where it lies.</summary>
public sealed record LocatedSign
{
    /// <summary>Name of the sign member it locates, such as <c>perforation</c>.</summary>
    public required string Sign { get; init; }

    /// <summary>Place in the ear.</summary>
    public required EarLocation At { get; init; }
}

/// <summary>A place in the canal or on the drum, in the patient's own anatomy.</summary>
public sealed record EarLocation
{
    /// <summary>Part of the ear.</summary>
    public required EarPart Part { get; init; }

    /// <summary>Wall of the canal, for canal parts.</summary>
    public CanalWall? Wall { get; init; }

    /// <summary>Quadrant of the drum, for places on it.</summary>
    public DrumQuadrant? Quadrant { get; init; }
}

/// <summary>Parts of the canal and the drum.</summary>
public enum EarPart { CanalOuterThird, CanalBonyPart, AnteriorRecess, OnDrum }

/// <summary>Walls of the canal.</summary>
public enum CanalWall { Anterior, Posterior, Superior, Inferior, AllRound }

/// <summary>Parts of the drum.</summary>
public enum DrumQuadrant { AnteroSuperior, AnteroInferior, PosteroSuperior, PosteroInferior, Attic, Whole }

/// <summary>Pinna, mastoid and the skin around the ear.</summary>
public sealed record OuterEar
{
    /// <summary>Swollen pinna.</summary>
    public Sign? PinnaSwelling { get; init; }

    /// <summary>Collection of blood in the pinna.</summary>
    public Sign? PinnaHaematoma { get; init; }

    /// <summary>Spreading infection of pinna or skin.</summary>
    public Sign? Cellulitis { get; init; }

    /// <summary>Pinna pushed forward.</summary>
    public Sign? PinnaDisplaced { get; init; }

    /// <summary>Tender mastoid.</summary>
    public Sign? MastoidTender { get; init; }

    /// <summary>Red mastoid.</summary>
    public Sign? MastoidRed { get; init; }

    /// <summary>Swollen mastoid.</summary>
    public Sign? MastoidSwollen { get; init; }

    /// <summary>Bruise over the mastoid.</summary>
    public Sign? MastoidBruise { get; init; }

    /// <summary>Blisters in or around the ear or on the palate.</summary>
    public Sign? Vesicles { get; init; }
}
