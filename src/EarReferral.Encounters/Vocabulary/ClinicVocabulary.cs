namespace EarReferral.Encounters.Vocabulary;

/// <summary>One version of a clinic's own code list, with what each code means in the contract.</summary>
/// <param name="ClinicId">Clinic that records with it.</param>
/// <param name="System">URI of the clinic's code system.</param>
/// <param name="Version">Version of it.</param>
/// <param name="Lists">
/// By kebab-case name of a closed list of the contract: the clinic's codes in place of it. A list that is here is spoken in
/// the clinic's codes alone; one that is not stays the contract's.
/// </param>
/// <param name="RuleInputs">Codes of the findings that a red-flag rule reads: in their place nothing is let go or widened.</param>
public sealed record ClinicVocabulary(
    string ClinicId,
    string System,
    string Version,
    IReadOnlyDictionary<string, IReadOnlyDictionary<string, LocalMeaning>> Lists,
    IReadOnlySet<string> RuleInputs);

/// <summary>What a clinic's code means.</summary>
/// <param name="Code">Kebab-case code of the contract's list; null where the clinic says that there is none.</param>
/// <param name="IsExact">False where the contract's code is wider than the clinic's (ConceptMap equivalence <c>wider</c>).</param>
/// <param name="Display">The clinic's own words for its code.</param>
public sealed record LocalMeaning(string? Code, bool IsExact, string? Display);
