using EarReferral.Encounters.Findings;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Codes;

/// <summary>URIs of code systems; the canonical base of our own is fixed by the conformance resources.</summary>
public static class CodeSystems
{
    /// <summary>Canonical base of everything we define.</summary>
    public const string Base = "https://ear-referral.example/fhir";

    public const string Snomed = "http://snomed.info/sct";
    public const string Loinc = "http://loinc.org";
    public const string Ucum = "http://unitsofmeasure.org";

    /// <summary>Local codes of what can be observed: one per row of the finding catalogue, and the record items of LocalCodes.</summary>
    public static readonly string Finding = Own("finding");

    /// <summary>Before or after the procedure.</summary>
    public static readonly string ExaminationMoment = Own("examination-moment");

    /// <summary>Identifiers of red-flag rules.</summary>
    public static readonly string Rule = Own("rule");

    /// <summary>Where a referral stands.</summary>
    public static readonly string ReferralBusinessStatus = Own("referral-business-status");

    /// <summary>Categories of referral that urgency alone does not tell apart.</summary>
    public static readonly string ReferralCategory = Own("referral-category");

    /// <summary>What a patient is asked to agree to.</summary>
    public static readonly string ConsentUse = Own("consent-use");

    /// <summary>Name of one of our code systems as a URI.</summary>
    public static string Own(string name) => $"{Base}/CodeSystem/{name}";

    /// <summary>A member of one of the contract's closed lists as a coding; the list is the code system.</summary>
    public static Coding Coding<TEnum>(TEnum value)
        where TEnum : struct, Enum => new(Own(Naming.List<TEnum>()), Naming.Code(value), Words(value));

    /// <summary>A member of one of the contract's closed lists as a concept.</summary>
    public static CodeableConcept Concept<TEnum>(TEnum value)
        where TEnum : struct, Enum => new() { Coding = [Coding(value)], Text = Words(value) };

    /// <summary>A member of a closed list in words, such as "firmly adherent".</summary>
    public static string Words<TEnum>(TEnum value)
        where TEnum : struct, Enum => Naming.Code(value).Replace('-', ' ');
}
