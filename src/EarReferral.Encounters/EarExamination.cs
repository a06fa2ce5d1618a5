namespace EarReferral.Encounters;

/// <summary>Everything about one ear in one visit.</summary>
public sealed record EarExamination
{
    /// <summary>The patient's own side.</summary>
    public required EarSide Side { get; init; }

    /// <summary>Hearing as told and checked.</summary>
    public Hearing? Hearing { get; init; }

    /// <summary>Pure-tone thresholds.</summary>
    public Audiogram? Audiogram { get; init; }

    /// <summary>Noise heard in this ear.</summary>
    public Tinnitus? Tinnitus { get; init; }

    /// <summary>Pain in or around this ear.</summary>
    public EarPain? Pain { get; init; }

    /// <summary>Discharge from this ear.</summary>
    public EarDischarge? Discharge { get; init; }

    /// <summary>Earlier disease and operations of this ear.</summary>
    public EarHistory? History { get; init; }

    /// <summary>Softeners used before the visit.</summary>
    public SoftenerUse? SoftenerBefore { get; init; }

    /// <summary>Pinna, mastoid and the skin around.</summary>
    public OuterEar? OuterEar { get; init; }

    /// <summary>A foreign object.</summary>
    public ForeignBody? ForeignBody { get; init; }

    /// <summary>Injury of this ear.</summary>
    public EarTrauma? Trauma { get; init; }

    /// <summary>Otoscopy before anything was done.</summary>
    public required Otoscopy Before { get; init; }

    /// <summary>What lay in the canal, in the order found from outside in.</summary>
    public IReadOnlyList<Deposit> Deposits { get; init => field = value ?? []; } = [];

    /// <summary>What was done, in order; empty when nothing was done to this ear.</summary>
    public IReadOnlyList<ProcedureStep> Steps { get; init => field = value ?? []; } = [];

    /// <summary>Movement or contact during the procedure.</summary>
    public PatientMovement? Movement { get; init; }

    /// <summary>Otoscopy after the procedure; required when a step was taken on a finished visit.</summary>
    public Otoscopy? After { get; init; }

    /// <summary>What was achieved.</summary>
    public ProcedureOutcome? Outcome { get; init; }

    /// <summary>Complications of this ear.</summary>
    public EarComplications? Complications { get; init; }
}

/// <summary>Hearing of one ear as told and checked.</summary>
public sealed record Hearing
{
    /// <summary>How hearing changed.</summary>
    public HearingChange? Change { get; init; }

    /// <summary>When the change began, as exactly as known.</summary>
    public PartialDate? OnsetDate { get; init; }

    /// <summary>Hours over which it developed, where known in hours.</summary>
    public decimal? DevelopedOverHours { get; init; }

    /// <summary>Days over which it developed.</summary>
    public int? DevelopedOverDays { get; init; }

    /// <summary>Still getting worse.</summary>
    public Answer? Ongoing { get; init; }

    /// <summary>A disease of outer or middle ear explains it.</summary>
    public Answer? ExplainedByOuterOrMiddleEar { get; init; }

    /// <summary>The loss was acquired, not present from birth.</summary>
    public Answer? Acquired { get; init; }

    /// <summary>The loss comes and goes.</summary>
    public Answer? Fluctuates { get; init; }

    /// <summary>With a respiratory infection.</summary>
    public Answer? WithRespiratoryInfection { get; init; }

    /// <summary>Hearing check before the procedure.</summary>
    public HearingLevel? Before { get; init; }

    /// <summary>Hearing check after the procedure.</summary>
    public HearingAfter? After { get; init; }

    /// <summary>Tuning fork on the forehead.</summary>
    public Weber? Weber { get; init; }

    /// <summary>Tuning fork at this ear.</summary>
    public TestResult? Rinne { get; init; }
}

/// <summary>How hearing changed.</summary>
public enum HearingChange { None, Gradual, Rapid, Sudden, NotAsked }

/// <summary>Hearing before the procedure.</summary>
public enum HearingLevel { Normal, Reduced, None, NotChecked }

/// <summary>Hearing after the procedure compared with before.</summary>
public enum HearingAfter { Normal, Better, Same, Worse, NotChecked }

/// <summary>The ear in which the tuning fork on the forehead is heard.</summary>
public enum Weber { Central, ToThisEar, ToOtherEar, NotDone }

/// <summary>Pure-tone thresholds of one ear in dB HL.</summary>
public sealed record Audiogram
{
    /// <summary>When it was measured.</summary>
    public required PartialDate MeasuredOn { get; init; }

    /// <summary>Thresholds, one per frequency and conduction.</summary>
    public required IReadOnlyList<Threshold> Thresholds { get; init; }

    /// <summary>An earlier audiogram of the same ear to compare with.</summary>
    public IReadOnlyList<Threshold> EarlierThresholds { get; init => field = value ?? []; } = [];

    /// <summary>Loss is sensorineural.</summary>
    public Answer? Sensorineural { get; init; }
}

/// <summary>One hearing threshold.</summary>
public sealed record Threshold
{
    /// <summary>Frequency in hertz: 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000 or 8000.</summary>
    public required int FrequencyHz { get; init; }

    /// <summary>Air or bone conduction.</summary>
    public required Conduction Conduction { get; init; }

    /// <summary>Threshold in dB HL, -10 to 130; absent when there was no response.</summary>
    public decimal? DecibelsHearingLevel { get; init; }

    /// <summary>No response at the limit of the audiometer.</summary>
    public bool NoResponse { get; init; }

    /// <summary>The other ear was masked.</summary>
    public bool Masked { get; init; }
}

/// <summary>Path of the test tone.</summary>
public enum Conduction { Air, Bone }

/// <summary>Noise heard in this ear.</summary>
public sealed record Tinnitus
{
    /// <summary>Tinnitus in this ear.</summary>
    public Answer? Present { get; init; }

    /// <summary>In step with the pulse.</summary>
    public Answer? Pulsatile { get; init; }

    /// <summary>Began suddenly.</summary>
    public Answer? SuddenOnset { get; init; }

    /// <summary>When it began.</summary>
    public PartialDate? OnsetDate { get; init; }

    /// <summary>Persistent.</summary>
    public Answer? Persistent { get; init; }

    /// <summary>The examiner hears it too.</summary>
    public Answer? Objective { get; init; }

    /// <summary>Clearly changed.</summary>
    public Answer? Changed { get; init; }
}

/// <summary>Pain in or around one ear.</summary>
public sealed record EarPain
{
    /// <summary>Pain in or around this ear.</summary>
    public Answer? Present { get; init; }

    /// <summary>When it began.</summary>
    public PartialDate? StartDate { get; init; }

    /// <summary>How bad it is.</summary>
    public Severity? Severity { get; init; }

    /// <summary>Severe at night, waking the patient.</summary>
    public Answer? NocturnalSevere { get; init; }

    /// <summary>Out of proportion to what is seen.</summary>
    public Answer? OutOfProportion { get; init; }

    /// <summary>First-line treatment helped.</summary>
    public TreatmentResponse? RespondedToTreatment { get; init; }
}

/// <summary>Discharge from one ear.</summary>
public sealed record EarDischarge
{
    /// <summary>Discharge other than wax.</summary>
    public Answer? Present { get; init; }

    /// <summary>Kind of discharge.</summary>
    public DischargeKind? Kind { get; init; }

    /// <summary>When it began.</summary>
    public PartialDate? StartDate { get; init; }

    /// <summary>When treatment was started, as an instant.</summary>
    public DateTimeOffset? TreatmentStart { get; init; }

    /// <summary>When treatment was started, where only the date is known.</summary>
    public PartialDate? TreatmentStartDate { get; init; }

    /// <summary>Treatment helped.</summary>
    public TreatmentResponse? RespondedToTreatment { get; init; }

    /// <summary>Worse in spite of treatment.</summary>
    public Answer? WorseOnTreatment { get; init; }

    /// <summary>Comes back.</summary>
    public Answer? Recurs { get; init; }

    /// <summary>Last date of a mucous discharge.</summary>
    public PartialDate? LastMucoidDate { get; init; }
}

/// <summary>Kinds of ear discharge.</summary>
public enum DischargeKind { Mucoid, Purulent, Bloody, Clear, Foul, Other, NotSeen }

/// <summary>Earlier disease and operations of one ear.</summary>
public sealed record EarHistory
{
    /// <summary>Earlier ear operation.</summary>
    public Answer? EarSurgery { get; init; }

    /// <summary>Kind of operation, in words.</summary>
    public string? EarSurgeryKind { get; init; }

    /// <summary>Grommet in place or earlier.</summary>
    public GrommetState? Grommet { get; init; }

    /// <summary>When the grommet came out.</summary>
    public PartialDate? GrommetOutDate { get; init; }

    /// <summary>The drum was recorded intact afterwards.</summary>
    public Answer? DrumDocumentedIntact { get; init; }

    /// <summary>A hole in the drum is known.</summary>
    public Answer? PerforationKnown { get; init; }

    /// <summary>A hole in the drum healed.</summary>
    public Answer? PerforationHealed { get; init; }

    /// <summary>End of the last middle-ear infection.</summary>
    public PartialDate? MiddleEarInfectionEnd { get; init; }

    /// <summary>The other ear does not hear.</summary>
    public Answer? OnlyHearingEar { get; init; }

    /// <summary>A complication at an earlier irrigation.</summary>
    public Answer? EarlierIrrigationProblem { get; init; }

    /// <summary>Wears a hearing aid in this ear.</summary>
    public Answer? HearingAid { get; init; }

    /// <summary>Puts cotton buds or the like into the ear.</summary>
    public Answer? CottonBuds { get; init; }

    /// <summary>A middle-ear infection now.</summary>
    public Answer? AcuteMiddleEarInfection { get; init; }

    /// <summary>Already under treatment by ENT for this ear, in words.</summary>
    public string? UnderEntCare { get; init; }
}

/// <summary>Ventilation tube in the drum.</summary>
public enum GrommetState { Never, InPlace, Out, NotAsked }

/// <summary>Softener used before the visit.</summary>
public sealed record SoftenerUse
{
    /// <summary>A softener was used.</summary>
    public Answer? Used { get; init; }

    /// <summary>Product in words, such as "olive oil".</summary>
    public string? Product { get; init; }

    /// <summary>Days of use, 0 to 60.</summary>
    public int? Days { get; init; }

    /// <summary>Times a day, 0 to 12.</summary>
    public int? TimesADay { get; init; }

    /// <summary>On whose advice, in words.</summary>
    public string? AdvisedBy { get; init; }

    /// <summary>What it did, in words.</summary>
    public string? Effect { get; init; }

    /// <summary>Still being used.</summary>
    public Answer? StillUsing { get; init; }
}

/// <summary>Injury of one ear.</summary>
public sealed record EarTrauma
{
    /// <summary>Something penetrated the ear.</summary>
    public Answer? Penetrating { get; init; }

    /// <summary>Pressure, slap or blast.</summary>
    public Answer? PressureOrBlast { get; init; }

    /// <summary>Date of the injury.</summary>
    public PartialDate? Date { get; init; }
}

/// <summary>A foreign object in the canal.</summary>
public sealed record ForeignBody
{
    /// <summary>An object is present or was present at this visit.</summary>
    public Answer? Present { get; init; }

    /// <summary>Kind of object.</summary>
    public ForeignBodyKind? Kind { get; init; }

    /// <summary>Removed at this visit.</summary>
    public Answer? Removed { get; init; }

    /// <summary>Attempts at removal, 0 to 10.</summary>
    public int? Attempts { get; init; }

    /// <summary>Wedged or touching the drum.</summary>
    public Answer? WedgedOrOnDrum { get; init; }
}

/// <summary>Kinds of foreign object; unknown is treated as a battery until seen.</summary>
public enum ForeignBodyKind { Battery, Organic, LiveInsect, DeadInsect, Inert, Sharp, Unknown }
