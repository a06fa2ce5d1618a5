namespace EarReferral.Encounters;

/// <summary>The clinic that a visit belongs to.</summary>
public sealed record Clinic
{
    /// <summary>Identifier of the clinic as configured at the gateway.</summary>
    public required string Id { get; init; }

    /// <summary>Name as it appears on letters.</summary>
    public required string Name { get; init; }

    /// <summary>ODS code, where the clinic has one.</summary>
    public string? OdsCode { get; init; }

    /// <summary>Telephone at which a receiver reaches the clinician.</summary>
    public string? Telephone { get; init; }
}

/// <summary>The clinician who carried out the visit.</summary>
public sealed record ClinicPractitioner
{
    /// <summary>The clinic's own identifier of the clinician.</summary>
    public required string Id { get; init; }

    /// <summary>Name of the clinician.</summary>
    public required PersonName Name { get; init; }

    /// <summary>Professional role.</summary>
    public required PractitionerRole Role { get; init; }

    /// <summary>Registration with a professional body.</summary>
    public Registration? Registration { get; init; }
}

/// <summary>Roles of people who remove ear wax.</summary>
public enum PractitionerRole { RegisteredNurse, NursePractitioner, Audiologist, HearingAidDispenser, HearingTherapist, Doctor, EntSurgeon, Other }

/// <summary>Entry in a professional register.</summary>
public sealed record Registration
{
    /// <summary>The register.</summary>
    public required RegistrationBody Body { get; init; }

    /// <summary>Number in the register.</summary>
    public required string Number { get; init; }
}

/// <summary>Professional registers known to the contract.</summary>
public enum RegistrationBody { Gmc, Nmc, Hcpc, Gphc, Other }

/// <summary>A person's name.</summary>
public sealed record PersonName
{
    /// <summary>Family name.</summary>
    public required string Family { get; init; }

    /// <summary>Given names in order.</summary>
    public IReadOnlyList<string> Given { get; init => field = value ?? []; } = [];

    /// <summary>Title such as "Dr".</summary>
    public string? Prefix { get; init; }
}

/// <summary>The patient as the clinic knows them.</summary>
public sealed record ClinicPatient
{
    /// <summary>The clinic's own identifier of the patient, unique within the clinic.</summary>
    public required string Id { get; init; }

    /// <summary>NHS number with its verification; exactly one of this and <see cref="NhsNumberAbsentReason"/>.</summary>
    public NhsNumber? NhsNumber { get; init; }

    /// <summary>Why there is no NHS number.</summary>
    public NhsNumberAbsentReason? NhsNumberAbsentReason { get; init; }

    /// <summary>Name of the patient.</summary>
    public required PersonName Name { get; init; }

    /// <summary>Date of birth, complete.</summary>
    public required DateOnly BirthDate { get; init; }

    /// <summary>Administrative gender.</summary>
    public required AdministrativeGender Gender { get; init; }

    /// <summary>Postal address.</summary>
    public PostalAddress? Address { get; init; }

    /// <summary>GP practice; exactly one of this and <see cref="GpPracticeAbsentReason"/>.</summary>
    public GpPractice? GpPractice { get; init; }

    /// <summary>Why no GP practice is given.</summary>
    public GpPracticeAbsentReason? GpPracticeAbsentReason { get; init; }
}

/// <summary>Administrative gender as HL7 FHIR defines it.</summary>
public enum AdministrativeGender { Male, Female, Other, Unknown }

/// <summary>An NHS number and how sure it is; a valid check digit is not a verified person.</summary>
public sealed record NhsNumber
{
    /// <summary>Ten digits, with or without single spaces after the third and sixth.</summary>
    public required string Value { get; init; }

    /// <summary>Verification status as the NHS number-status codes have it.</summary>
    public required NhsNumberVerification Verification { get; init; }
}

/// <summary>Status of an NHS number (codes of the UK Core verification-status value set).</summary>
public enum NhsNumberVerification { NumberPresentAndVerified, NumberPresentButNotTraced, TraceRequired, TraceAttempted, TraceNeedsToBeResolved, TraceInProgress, TracePostponed }

/// <summary>Why a patient has no NHS number (codes of the UK Core unavailable-reason value set).</summary>
public enum NhsNumberAbsentReason { NhsNumberNotKnown, OverseasPatient, DevolvedNation }

/// <summary>Why a patient has no GP practice in the record.</summary>
public enum GpPracticeAbsentReason { NotRegistered, NotKnown, Declined }

/// <summary>The practice at which the patient is registered.</summary>
public sealed record GpPractice
{
    /// <summary>ODS code of the practice.</summary>
    public required string OdsCode { get; init; }

    /// <summary>Name of the practice.</summary>
    public required string Name { get; init; }
}

/// <summary>A postal address.</summary>
public sealed record PostalAddress
{
    /// <summary>Street lines in order.</summary>
    public IReadOnlyList<string> Lines { get; init => field = value ?? []; } = [];

    /// <summary>Town.</summary>
    public string? Town { get; init; }

    /// <summary>Postal code.</summary>
    public string? PostalCode { get; init; }
}

/// <summary>How to reach and understand the patient; a phone-only callback is never proposed to someone who cannot use one.</summary>
public sealed record ReachingPatient
{
    /// <summary>Telephone number.</summary>
    public string? Telephone { get; init; }

    /// <summary>E-mail address.</summary>
    public string? Email { get; init; }

    /// <summary>The way the patient wants to be contacted.</summary>
    public ContactPreference? Preferred { get; init; }

    /// <summary>Whether the patient hears well enough to use a telephone.</summary>
    public Answer? HearsOnTelephone { get; init; }

    /// <summary>BCP 47 tag of the language the patient speaks or signs, such as <c>en</c> or <c>bfi</c>.</summary>
    public string? Language { get; init; }

    /// <summary>Whether an interpreter is needed, sign language included.</summary>
    public Answer? InterpreterNeeded { get; init; }

    /// <summary>Who helps the patient and how to reach them, in words.</summary>
    public string? Carer { get; init; }

    /// <summary>Whether the patient can decide for themselves.</summary>
    public Capacity? Capacity { get; init; }
}

/// <summary>Ways to contact a patient.</summary>
public enum ContactPreference { Telephone, TextMessage, Email, Letter, ThroughCarer, RelayService }

/// <summary>Capacity to decide about this procedure.</summary>
public enum Capacity { HasCapacity, LacksCapacity, ParentalResponsibility, NotAssessed }

/// <summary>What the patient agreed to; each use is its own answer.</summary>
public sealed record ConsentRecord
{
    /// <summary>Agreement to the procedure.</summary>
    public required Answer Treatment { get; init; }

    /// <summary>Whether risks were explained before.</summary>
    public Answer? RisksExplained { get; init; }

    /// <summary>Form of the consent.</summary>
    public ConsentForm? Form { get; init; }

    /// <summary>Who agreed: the patient or somebody for them, in words.</summary>
    public string? GivenBy { get; init; }

    /// <summary>When it was given.</summary>
    public DateTimeOffset? At { get; init; }

    /// <summary>Agreement to recording images.</summary>
    public Answer? RecordingImages { get; init; }

    /// <summary>Agreement to sharing with the GP practice.</summary>
    public Answer? SharingWithGp { get; init; }

    /// <summary>Agreement to sharing with ENT.</summary>
    public Answer? SharingWithEnt { get; init; }

    /// <summary>Agreement to use beyond the patient's own care.</summary>
    public Answer? UseBeyondCare { get; init; }
}

/// <summary>Form of a consent.</summary>
public enum ConsentForm { Verbal, Written, Implied }
