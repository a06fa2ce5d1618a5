namespace EarReferral.Triage.Rules;

/// <summary>Canonical addresses that the rule files and the record use.</summary>
internal static class RuleVocabulary
{
    public const string Base = "https://ear-referral.example/fhir";
    public const string Findings = Base + "/CodeSystem/finding";
    public const string OwnCodeSystems = Base + "/CodeSystem/";
    public const string ExaminationMoments = Base + "/CodeSystem/examination-moment";
    public const string Snomed = "http://snomed.info/sct";
    public const string Present = "52101004";
    public const string Absent = "2667000";
    public const string RightEar = "25577004";
    public const string LeftEar = "89644007";
    public const string Ucum = "http://unitsofmeasure.org";

    public const string Variable = Base + "/StructureDefinition/rule-variable";
    public const string Tier = Base + "/StructureDefinition/rule-tier";
    public const string Strength = Base + "/StructureDefinition/rule-strength";
    public const string Level = Base + "/StructureDefinition/rule-level";
    public const string Destination = Base + "/StructureDefinition/rule-destination";
    public const string TimeLimit = Base + "/StructureDefinition/rule-time-limit";
    public const string PatientText = Base + "/StructureDefinition/rule-patient-text";
    public const string Provenance = Base + "/StructureDefinition/rule-provenance";
    public const string Suppressible = Base + "/StructureDefinition/rule-suppressible";
    public const string Asks = Base + "/StructureDefinition/rule-asks-when-unknown";

    public const string FhirPath = "text/fhirpath";
}
