namespace EarReferral.Encounters;

/// <summary>Something that lay in the canal.</summary>
public sealed record Deposit
{
    /// <summary>Identifier within this ear, named by steps.</summary>
    public required string Id { get; init; }

    /// <summary>What it is made of.</summary>
    public required DepositMaterial Material { get; init; }

    /// <summary>How firm it is.</summary>
    public Firmness? Firmness { get; init; }

    /// <summary>How moist it is.</summary>
    public Moisture? Moisture { get; init; }

    /// <summary>How sticky it is.</summary>
    public Stickiness? Stickiness { get; init; }

    /// <summary>How firmly it holds to the skin.</summary>
    public Adherence? Adherence { get; init; }

    /// <summary>Colour.</summary>
    public DepositColour? Colour { get; init; }

    /// <summary>Number of layers, 1 to 10.</summary>
    public int? Layers { get; init; }

    /// <summary>How much of the canal it fills.</summary>
    public Occlusion? Occlusion { get; init; }

    /// <summary>Depth of its outer end from the opening of the canal in mm, 0 to 35.</summary>
    public decimal? DepthMm { get; init; }

    /// <summary>Length of what came out in mm, 0 to 60.</summary>
    public decimal? LengthMm { get; init; }

    /// <summary>Skin came out with it.</summary>
    public Sign? SkinWithIt { get; init; }

    /// <summary>Where it lay.</summary>
    public required EarLocation At { get; init; }
}

/// <summary>Materials found in a canal.</summary>
public enum DepositMaterial { Wax, DesquamatedSkin, Keratin, FungalDebris, ForeignObject, Unknown }

/// <summary>Firmness of a deposit.</summary>
public enum Firmness { Soft, Medium, Hard }

/// <summary>Moisture of a deposit.</summary>
public enum Moisture { Dry, Moist, Wet }

/// <summary>Stickiness of a deposit.</summary>
public enum Stickiness { NotSticky, Sticky }

/// <summary>Adherence of a deposit to skin or drum.</summary>
public enum Adherence { Loose, Adherent, FirmlyAdherent }

/// <summary>Colour of a deposit.</summary>
public enum DepositColour { Yellow, Orange, LightBrown, DarkBrown, Black, Grey, White, Red, Mixed }

/// <summary>How much of the canal is filled.</summary>
public enum Occlusion { None, Partial, Complete }

/// <summary>One thing that was done, in order.</summary>
public sealed record ProcedureStep
{
    /// <summary>Instrument.</summary>
    public required Instrument Instrument { get; init; }

    /// <summary>Outer diameter of the suction end in mm, 0.3 to 5; for suction only.</summary>
    public decimal? SuctionOuterDiameterMm { get; init; }

    /// <summary>Suction end by kind; for suction only.</summary>
    public SuctionEnd? SuctionEnd { get; init; }

    /// <summary>Suction pressure with its unit; 0 to 760 mmHg.</summary>
    public Pressure? SuctionPressure { get; init; }

    /// <summary>Water temperature in degrees Celsius; for irrigation only.</summary>
    public decimal? WaterTemperatureCelsius { get; init; }

    /// <summary>How the ear was viewed.</summary>
    public ViewInstrument? View { get; init; }

    /// <summary>Liquid introduced, in words such as "olive oil".</summary>
    public string? LiquidIntroduced { get; init; }

    /// <summary>Identifiers of the deposits worked on, of this ear.</summary>
    public IReadOnlyList<string> Deposits { get; init => field = value ?? []; } = [];

    /// <summary>Where the work was done.</summary>
    public EarLocation? At { get; init; }

    /// <summary>Why the instrument was changed for this step.</summary>
    public ChangeReason? ChangeReason { get; init; }

    /// <summary>Attempts, 1 to 20.</summary>
    public int? Attempts { get; init; }

    /// <summary>What the step achieved.</summary>
    public StepResult? Result { get; init; }
}

/// <summary>Instruments used in the canal.</summary>
public enum Instrument { Suction, Forceps, Hook, Loop, ElectronicIrrigation, ManualSyringe, SoftenerOnly }

/// <summary>Suction end by kind.</summary>
public enum SuctionEnd { Fine, Standard }

/// <summary>Why an instrument was changed.</summary>
public enum ChangeReason { SkinMet, NearDrum, TooFirm, Blocked, Discomfort, Other }

/// <summary>What a step achieved.</summary>
public enum StepResult { Removed, PartlyRemoved, Loosened, NotRemoved }

/// <summary>A pressure with its unit.</summary>
public sealed record Pressure
{
    /// <summary>Value of the pressure.</summary>
    public required decimal Value { get; init; }

    /// <summary>Unit of the pressure.</summary>
    public required PressureUnit Unit { get; init; }
}

/// <summary>Units of pressure.</summary>
public enum PressureUnit { MmHg, KPa }

/// <summary>Movement of the patient and what was touched.</summary>
public sealed record PatientMovement
{
    /// <summary>The patient moved suddenly.</summary>
    public Answer? Flinched { get; init; }

    /// <summary>What was touched.</summary>
    public TouchedPart? Touched { get; init; }
}

/// <summary>What an instrument touched unintentionally.</summary>
public enum TouchedPart { Nothing, CanalSkin, Drum, NotKnown }

/// <summary>What was achieved in one ear.</summary>
public sealed record ProcedureOutcome
{
    /// <summary>Result.</summary>
    public required OutcomeResult Result { get; init; }

    /// <summary>What was left and where; required for <see cref="OutcomeResult.ThinLayerLeftOnDrum"/> and <see cref="OutcomeResult.Incomplete"/>.</summary>
    public IReadOnlyList<Residual> Left { get; init => field = value ?? []; } = [];

    /// <summary>Why the procedure was stopped; required for <see cref="OutcomeResult.Abandoned"/>.</summary>
    public StopReason? StopReason { get; init; }

    /// <summary>Attempts at irrigation so far in this episode, earlier visits included, 0 to 10.</summary>
    public int? IrrigationAttempts { get; init; }
}

/// <summary>Results of a procedure on one ear.</summary>
public enum OutcomeResult { Clear, ThinLayerLeftOnDrum, Incomplete, Abandoned, NotStarted }

/// <summary>Why a procedure was stopped.</summary>
public enum StopReason { PatientAsked, Pain, Vertigo, Movement, Bleeding, SwollenCanal, UnusualAnatomy, DrumNotSeen, Perforation, EquipmentFailure, Declined, Other }

/// <summary>Something left in the ear.</summary>
public sealed record Residual
{
    /// <summary>What it is made of.</summary>
    public required DepositMaterial Material { get; init; }

    /// <summary>Where it lies.</summary>
    public required EarLocation At { get; init; }

    /// <summary>Left on purpose.</summary>
    public required bool OnPurpose { get; init; }
}

/// <summary>Complications of one ear during or after the procedure.</summary>
public sealed record EarComplications
{
    /// <summary>Bleeding.</summary>
    public Bleeding? Bleeding { get; init; }

    /// <summary>Pain during the procedure.</summary>
    public Severity? Pain { get; init; }

    /// <summary>New hole in the drum.</summary>
    public Sign? NewPerforation { get; init; }

    /// <summary>New or louder tinnitus.</summary>
    public Answer? TinnitusNewOrLouder { get; init; }

    /// <summary>When the new tinnitus began.</summary>
    public PartialDate? TinnitusSince { get; init; }
}

/// <summary>Bleeding during or after the procedure.</summary>
public enum Bleeding { None, Stopped, NotStopping, NotAsked }

/// <summary>Complications of the whole patient.</summary>
public sealed record PatientComplications
{
    /// <summary>Vertigo during the procedure.</summary>
    public ProcedureVertigo? Vertigo { get; init; }

    /// <summary>Minutes the vertigo lasted, 0 to 600.</summary>
    public int? VertigoMinutes { get; init; }

    /// <summary>Faint.</summary>
    public Answer? Faint { get; init; }

    /// <summary>Fall.</summary>
    public Answer? Fall { get; init; }

    /// <summary>Struck the head.</summary>
    public Answer? HeadStrike { get; init; }

    /// <summary>New facial weakness after the procedure.</summary>
    public Answer? NewFacialWeakness { get; init; }
}

/// <summary>Vertigo with the procedure.</summary>
public enum ProcedureVertigo { None, Transient, StillPresentAtLeaving, NotAsked }

/// <summary>Advice given at the end.</summary>
public sealed record Advice
{
    /// <summary>Told to put nothing small into the ear.</summary>
    public Answer? NothingInEar { get; init; }

    /// <summary>Told to keep the ear dry, and for how long.</summary>
    public Answer? KeepDry { get; init; }

    /// <summary>Drops or softener advised for further use, in words.</summary>
    public string? DropsAdvised { get; init; }

    /// <summary>Told when and where to seek help.</summary>
    public Answer? WhenToSeekHelp { get; init; }

    /// <summary>Leaflet given.</summary>
    public Answer? LeafletGiven { get; init; }

    /// <summary>Anything else said, in words.</summary>
    public string? Note { get; init; }
}

/// <summary>What was arranged next.</summary>
public sealed record FollowUp
{
    /// <summary>Whether and where the patient is seen again.</summary>
    public required FollowUpKind Kind { get; init; }

    /// <summary>When, as exactly as known.</summary>
    public PartialDate? On { get; init; }

    /// <summary>Anything else, in words.</summary>
    public string? Note { get; init; }
}

/// <summary>Kinds of follow-up.</summary>
public enum FollowUpKind { None, ClinicReview, GpReview, AlreadyUnderEnt, AsNeeded }

/// <summary>A picture or video kept elsewhere.</summary>
public sealed record ImageReference
{
    /// <summary>The clinic's identifier of the image.</summary>
    public required string Id { get; init; }

    /// <summary>The ear shown; must be an examined ear.</summary>
    public required EarSide Side { get; init; }

    /// <summary>Before or after the procedure.</summary>
    public required ImageMoment Moment { get; init; }

    /// <summary>When it was taken.</summary>
    public required DateTimeOffset TakenAt { get; init; }

    /// <summary>Media type such as <c>image/jpeg</c>.</summary>
    public required string MediaType { get; init; }

    /// <summary>Where it can be opened by those who may; https only.</summary>
    public string? Url { get; init; }

    /// <summary>SHA-256 of the bytes in lower-case hexadecimal.</summary>
    public string? Sha256 { get; init; }
}

/// <summary>When an image was taken.</summary>
public enum ImageMoment { Before, During, After }

/// <summary>Urgency tiers as clinicians choose them.</summary>
public enum ClinicTier { T0, T1, T2, T2C, T3, T4 }

/// <summary>The clinician's own tier; raising is free, lowering needs a reason, lowering T0 or T1 a second confirmation.</summary>
public sealed record TierOverride
{
    /// <summary>The tier the clinician decides.</summary>
    public required ClinicTier Tier { get; init; }

    /// <summary>Why, in words.</summary>
    public required string Reason { get; init; }

    /// <summary>Who decides.</summary>
    public required string Person { get; init; }

    /// <summary>When.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>Who confirmed a lowering from T0 or T1.</summary>
    public string? ConfirmedBy { get; init; }
}

/// <summary>The clinician's answer to a rule that fired.</summary>
public sealed record RuleResponse
{
    /// <summary>Identifier of the rule.</summary>
    public required string RuleId { get; init; }

    /// <summary>The ear that the rule fired for; left out for every side it fired for.</summary>
    public EarSide? Side { get; init; }

    /// <summary>What became of it.</summary>
    public required RuleResponseKind Kind { get; init; }

    /// <summary>Why, in words.</summary>
    public required string Reason { get; init; }

    /// <summary>Who answers.</summary>
    public required string Person { get; init; }

    /// <summary>When.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>To whom it was handed or referred before; required for everything but a refusal.</summary>
    public string? HandedTo { get; init; }

    /// <summary>When it was handed over by phone or given to the patient; required for both.</summary>
    public DateTimeOffset? HandedAt { get; init; }

    /// <summary>When it was referred before, as exactly as known; required for an earlier referral.</summary>
    public PartialDate? ReferredOn { get; init; }

    /// <summary>Whether the patient, or a parent for them, can decide this; a refusal counts only with it.</summary>
    public Capacity? Capacity { get; init; }

    /// <summary>Whether the risks of not going were explained; a refusal counts only with yes.</summary>
    public Answer? RisksExplained { get; init; }

    /// <summary>Second confirmation, required for T0 and T1.</summary>
    public string? ConfirmedBy { get; init; }
}

/// <summary>Answers to a rule that fired.</summary>
public enum RuleResponseKind { DeclinedByPatient, AlreadyReferred, HandedOverByPhone, HandedOverWithPatient }
