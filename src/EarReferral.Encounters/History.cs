namespace EarReferral.Encounters;

/// <summary>Conditions and treatments of the whole patient that change risk.</summary>
public sealed record Background
{
    /// <summary>Weakened immune defence.</summary>
    public Answer? Immunocompromised { get; init; }

    /// <summary>Diabetes of any type.</summary>
    public Answer? Diabetes { get; init; }

    /// <summary>Anticoagulant treatment.</summary>
    public Answer? Anticoagulant { get; init; }

    /// <summary>Radiotherapy to head or neck at any time.</summary>
    public Answer? HeadNeckRadiation { get; init; }

    /// <summary>Chinese or south-east Asian family origin; asked for one rule only (NICE NG98, nasopharyngeal cancer).</summary>
    public Answer? FamilyOriginChineseOrSouthEastAsian { get; init; }

    /// <summary>Cannot keep still for the procedure.</summary>
    public Answer? CannotKeepStill { get; init; }

    /// <summary>Cleft palate, repaired or not.</summary>
    public Answer? CleftPalate { get; init; }

    /// <summary>Free text that the clinician adds.</summary>
    public string? Note { get; init; }
}

/// <summary>General condition on the day.</summary>
public sealed record GeneralState
{
    /// <summary>Looks or feels systemically unwell.</summary>
    public Answer? SystemicallyUnwell { get; init; }

    /// <summary>Body temperature in degrees Celsius, 30 to 45.</summary>
    public decimal? TemperatureCelsius { get; init; }

    /// <summary>Signs of sepsis.</summary>
    public Sign? SepsisSigns { get; init; }

    /// <summary>Signs of meningism.</summary>
    public Sign? MeningismSigns { get; init; }

    /// <summary>Severe headache.</summary>
    public Answer? SevereHeadache { get; init; }

    /// <summary>Deep pain behind the eye.</summary>
    public Answer? RetroOrbitalPain { get; init; }
}

/// <summary>Dizziness and balance.</summary>
public sealed record Vertigo
{
    /// <summary>Dizziness or vertigo in this episode.</summary>
    public Answer? Present { get; init; }

    /// <summary>Began suddenly.</summary>
    public Answer? SuddenOnset { get; init; }

    /// <summary>Date it began, as exactly as known.</summary>
    public PartialDate? OnsetDate { get; init; }

    /// <summary>Fully gone.</summary>
    public Answer? Resolved { get; init; }

    /// <summary>Comes back.</summary>
    public Answer? Recurrent { get; init; }

    /// <summary>New unsteady gait.</summary>
    public Answer? GaitUnsteady { get; init; }

    /// <summary>Nausea or vomiting with it.</summary>
    public Answer? NauseaOrVomiting { get; init; }

    /// <summary>Kind of nystagmus seen.</summary>
    public Nystagmus? Nystagmus { get; init; }

    /// <summary>Positional test for benign positional vertigo.</summary>
    public TestResult? PositionalTest { get; init; }

    /// <summary>Fall of blood pressure on standing explains it.</summary>
    public Answer? PosturalDrop { get; init; }

    /// <summary>In a patient with diabetes: blood glucose was found low and treated, and the symptoms went (NICE NG127 1.2.1). No answer means that nobody measured.</summary>
    public Answer? ResolvedAfterTreatingLowGlucose { get; init; }

    /// <summary>Somebody trained in the HINTS test was available.</summary>
    public Answer? HintsTrained { get; init; }

    /// <summary>Result of the HINTS test.</summary>
    public HintsResult? HintsResult { get; init; }

    /// <summary>Part of the HINTS test: the head impulse test is normal, without a corrective movement of the eyes, which is the worrying answer (NICE NG127 1.2.3).</summary>
    public Answer? HeadImpulseNormal { get; init; }

    /// <summary>Part of the HINTS test: the eyes stand at different heights when covered in turn (NICE NG127 1.2.3).</summary>
    public Answer? SkewDeviation { get; init; }
}

/// <summary>Kinds of nystagmus.</summary>
public enum Nystagmus { None, Horizontal, Vertical, Rotatory, DirectionChanging, NotSeen }

/// <summary>Outcome of a bedside test.</summary>
public enum TestResult { Positive, Negative, NotDone }

/// <summary>Outcome of the head-impulse, nystagmus and skew test.</summary>
public enum HintsResult { Peripheral, Central, NotDone }

/// <summary>Face, limbs, speech and other nerves.</summary>
public sealed record Neurology
{
    /// <summary>Side of a facial weakness; <see cref="BodySide.None"/> when looked for and absent.</summary>
    public BodySide? FacialWeakness { get; init; }

    /// <summary>When the weakness began, as an instant where known.</summary>
    public DateTimeOffset? FacialWeaknessOnset { get; init; }

    /// <summary>When the weakness began, as a date.</summary>
    public PartialDate? FacialWeaknessOnsetDate { get; init; }

    /// <summary>The forehead is weak too.</summary>
    public Answer? ForeheadInvolved { get; init; }

    /// <summary>An old weakness that was recorded before and has not changed.</summary>
    public Answer? FacialWeaknessOldUnchanged { get; init; }

    /// <summary>Side of an altered facial sensation.</summary>
    public BodySide? FacialAlteredSensation { get; init; }

    /// <summary>Sudden limb weakness.</summary>
    public Answer? LimbWeakness { get; init; }

    /// <summary>Speech disturbance.</summary>
    public Answer? SpeechDisturbance { get; init; }

    /// <summary>Palsy of another cranial nerve.</summary>
    public Answer? OtherCranialNervePalsy { get; init; }

    /// <summary>Palsy of the sixth nerve.</summary>
    public Answer? SixthNervePalsy { get; init; }

    /// <summary>The clinician suspects a stroke.</summary>
    public Answer? StrokeSuspected { get; init; }

    /// <summary>Loss of central nervous function that grows over weeks.</summary>
    public Answer? CentralLossProgressive { get; init; }
}

/// <summary>Neck, mouth and voice.</summary>
public sealed record HeadAndNeck
{
    /// <summary>Unexplained lump in the neck.</summary>
    public Answer? NeckLump { get; init; }

    /// <summary>Lump of the parotid gland.</summary>
    public Answer? ParotidMass { get; init; }

    /// <summary>Unexplained lump of the thyroid.</summary>
    public Answer? ThyroidLump { get; init; }

    /// <summary>Persistent unexplained hoarseness.</summary>
    public Answer? Hoarseness { get; init; }

    /// <summary>When the hoarseness began.</summary>
    public PartialDate? HoarsenessStart { get; init; }

    /// <summary>Unexplained ulcer in the mouth.</summary>
    public Answer? MouthUlcer { get; init; }

    /// <summary>When the ulcer began.</summary>
    public PartialDate? MouthUlcerStart { get; init; }
}

/// <summary>Injury to head or neck.</summary>
public sealed record HeadInjury
{
    /// <summary>Head or neck injury that belongs to this complaint.</summary>
    public Answer? Present { get; init; }

    /// <summary>Date of the injury.</summary>
    public PartialDate? Date { get; init; }
}

/// <summary>Distress with tinnitus.</summary>
public sealed record TinnitusDistress
{
    /// <summary>Distress that affects wellbeing.</summary>
    public Answer? Distressing { get; init; }

    /// <summary>Tinnitus support was already given.</summary>
    public Answer? SupportGiven { get; init; }

    /// <summary>Risk of suicide as assessed.</summary>
    public SuicideRisk? SuicideRisk { get; init; }
}

/// <summary>Risk of suicide as assessed by the clinician.</summary>
public enum SuicideRisk { High, Low, NotAsked }

/// <summary>Hearing concerns about the person rather than one ear.</summary>
public sealed record HearingConcern
{
    /// <summary>A one-sided or asymmetric loss is the main concern.</summary>
    public Answer? OneSidedMainConcern { get; init; }

    /// <summary>Sounds are so loud that it distresses and limits daily life.</summary>
    public Answer? HyperacusisDistress { get; init; }

    /// <summary>Clinician's judgement: loss not of the kind that comes with age.</summary>
    public Answer? NotAgeRelated { get; init; }
}

/// <summary>Whether the complaint was looked into before.</summary>
public sealed record EarlierCare
{
    /// <summary>Already investigated for this complaint and unchanged since; may quiet T2 and T3 rules only.</summary>
    public Answer? AlreadyInvestigatedUnchanged { get; init; }

    /// <summary>By whom and when, in words.</summary>
    public string? Note { get; init; }
}
