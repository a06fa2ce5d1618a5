using System.Text.Json.Serialization;

namespace EarReferral.Encounters;

/// <summary>One visit to an ear-care clinic as the clinic's software posts it, contract version 1.</summary>
/// <remarks>
/// The hand-written JSON Schema <c>encounter-v1.schema.json</c> is the source of truth; a test proves that this model agrees with it.
/// Lists are never null: whatever sets one to null gets the empty list from <c>init</c>.
/// A member left out means <em>not asked</em> or <em>not looked at</em>, never <em>no</em> or <em>normal</em>.
/// </remarks>
public sealed record ClinicEncounter
{
    // A field, because every member with a setter is one of the contract.
    private IReadOnlyList<ScreenAnswer> screenAnswers = [];

    /// <summary>Version of the contract, <c>1.minor</c>.</summary>
    public required string ContractVersion { get; init; }

    /// <summary>The clinic's own identifier of the visit, unique within the clinic.</summary>
    public required string EncounterId { get; init; }

    /// <summary>1 for the first post of a visit, one more for each correction.</summary>
    public required int Revision { get; init; }

    /// <summary>Whether the visit is over; only a finished visit is stored.</summary>
    public required EncounterStatus Status { get; init; }

    /// <summary>The instant at which the clinician decided; rules, deadlines and clocks run from it, never from receipt.</summary>
    public required DateTimeOffset EvaluationInstant { get; init; }

    /// <summary>IANA name of the clinic's time zone, in which calendar days are counted.</summary>
    public required string ClinicTimeZone { get; init; }

    /// <summary>Which code list of the clinic the document is written in; absent when every code is the contract's.</summary>
    public VocabularyUse? Vocabulary { get; init; }

    /// <summary>Why an earlier revision is replaced; required from revision 2 on.</summary>
    public Supersession? Supersedes { get; init; }

    /// <summary>The clinic that the visit took place at.</summary>
    public required Clinic Clinic { get; init; }

    /// <summary>The clinician who saw the patient.</summary>
    public required ClinicPractitioner Practitioner { get; init; }

    /// <summary>Start and end of the visit; the end is absent while it is in progress.</summary>
    public required EncounterPeriod Period { get; init; }

    /// <summary>Room, ward or home address kind where the visit took place, in words.</summary>
    public string? Place { get; init; }

    /// <summary>Who else was present, in words such as "daughter".</summary>
    public IReadOnlyList<string> OthersPresent { get; init => field = value ?? []; } = [];

    /// <summary>The patient.</summary>
    public required ClinicPatient Patient { get; init; }

    /// <summary>How the patient can be reached and understood.</summary>
    public ReachingPatient? Reaching { get; init; }

    /// <summary>What the patient agreed to, each use a separate answer.</summary>
    public required ConsentRecord Consent { get; init; }

    /// <summary>Why the patient came, in words.</summary>
    public string? ReasonForVisit { get; init; }

    /// <summary>What the patient hopes for, in words.</summary>
    public string? Expectation { get; init; }

    /// <summary>Conditions and treatments that change the risk.</summary>
    public Background? Background { get; init; }

    /// <summary>Medicines in words, as the patient or the record tells them.</summary>
    public IReadOnlyList<string> Medicines { get; init => field = value ?? []; } = [];

    /// <summary>Allergies and intolerances in words.</summary>
    public IReadOnlyList<string> Allergies { get; init => field = value ?? []; } = [];

    /// <summary>General condition: fever, sepsis, meningism.</summary>
    public GeneralState? General { get; init; }

    /// <summary>Dizziness and balance.</summary>
    public Vertigo? Vertigo { get; init; }

    /// <summary>Face, limbs, speech and other nerves.</summary>
    public Neurology? Neurology { get; init; }

    /// <summary>Neck, mouth and voice.</summary>
    public HeadAndNeck? HeadAndNeck { get; init; }

    /// <summary>Injury to head or neck.</summary>
    public HeadInjury? HeadInjury { get; init; }

    /// <summary>Distress with tinnitus that concerns the whole person.</summary>
    public TinnitusDistress? TinnitusDistress { get; init; }

    /// <summary>Hearing concerns that concern both ears together.</summary>
    public HearingConcern? HearingConcern { get; init; }

    /// <summary>Whether the complaint was looked into before.</summary>
    public EarlierCare? EarlierCare { get; init; }

    /// <summary>The screen that was gone through; what it answers is filled in by the reader.</summary>
    public ScreeningRecord? Screening { get; init; }

    /// <summary>Findings that stand here because the screen answered them; empty in a document, filled by the reader.</summary>
    [JsonIgnore]
    public IReadOnlyList<ScreenAnswer> AnsweredByScreen => screenAnswers;

    /// <summary>The examined ears, at most one entry per side.</summary>
    public required IReadOnlyList<EarExamination> Ears { get; init; }

    /// <summary>What happened to the patient as a whole during or after the procedure.</summary>
    public PatientComplications? Complications { get; init; }

    /// <summary>Advice given.</summary>
    public Advice? Advice { get; init; }

    /// <summary>What was arranged next.</summary>
    public FollowUp? FollowUp { get; init; }

    /// <summary>Pictures and videos, by reference.</summary>
    public IReadOnlyList<ImageReference> Images { get; init => field = value ?? []; } = [];

    /// <summary>The clinician's own tier where it differs from the rules.</summary>
    public TierOverride? TierOverride { get; init; }

    /// <summary>What the clinician answers to rules that fired: declined, already referred, handed over.</summary>
    public IReadOnlyList<RuleResponse> RuleResponses { get; init => field = value ?? []; } = [];

    internal ClinicEncounter WithScreenAnswers(IReadOnlyList<ScreenAnswer> answers)
    {
        var told = this with { };
        told.screenAnswers = answers;
        return told;
    }
}

/// <summary>Whether a visit is still going on.</summary>
public enum EncounterStatus { InProgress, Finished }

/// <summary>Start and end of a visit.</summary>
public sealed record EncounterPeriod
{
    /// <summary>When the visit began.</summary>
    public required DateTimeOffset Start { get; init; }

    /// <summary>When the visit ended; required once finished.</summary>
    public DateTimeOffset? End { get; init; }
}

/// <summary>An announced correction of an earlier revision.</summary>
public sealed record Supersession
{
    /// <summary>The revision that is replaced.</summary>
    public required int Revision { get; init; }

    /// <summary>Why it is replaced, in words.</summary>
    public required string Reason { get; init; }

    /// <summary>Who answers for the correction.</summary>
    public required string Person { get; init; }
}
