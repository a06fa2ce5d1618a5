namespace EarReferral.Summary.Findings;

/// <summary>The codes that a drawing reads. Those of SNOMED CT are the ones that the mapping writes; a test compares the two.</summary>
internal static class FindingCodes
{
    public const string Finding = "https://ear-referral.example/fhir/CodeSystem/finding";
    public const string Moment = "https://ear-referral.example/fhir/CodeSystem/examination-moment";
    public const string Part = "https://ear-referral.example/fhir/CodeSystem/ear-part";
    public const string Wall = "https://ear-referral.example/fhir/CodeSystem/canal-wall";
    public const string Quadrant = "https://ear-referral.example/fhir/CodeSystem/drum-quadrant";
    public const string Visibility = "https://ear-referral.example/fhir/CodeSystem/drum-visibility";
    public const string OutcomeResult = "https://ear-referral.example/fhir/CodeSystem/outcome-result";
    public const string Snomed = "http://snomed.info/sct";

    /// <summary>SNOMED CT 25577004, Right ear structure; source: terminology of the record.</summary>
    public const string RightEar = "25577004";

    /// <summary>SNOMED CT 89644007, Left ear structure.</summary>
    public const string LeftEar = "89644007";

    /// <summary>SNOMED CT 52101004, Present.</summary>
    public const string Present = "52101004";

    public const string Deposit = "deposit";
    public const string Residual = "residual";
    public const string LocationPart = "location-part";
    public const string LocationWall = "location-wall";
    public const string LocationQuadrant = "location-quadrant";
    public const string DrumVisualised = "drum-visualised";
    public const string LightReflex = "drum-light-reflex";
    public const string Perforation = "drum-perforation";

    /// <summary>Findings whose presence is the good news: they are no mark in a drawing.</summary>
    public static readonly IReadOnlySet<string> Wanted = new HashSet<string>(StringComparer.Ordinal) { "drum-intact", LightReflex };

    public const string Threshold = "audiogram-threshold";
    public const string EarlierThreshold = "audiogram-threshold-earlier";
    public const string ThresholdFrequency = "threshold-frequency";
    public const string ThresholdConduction = "threshold-conduction";
    public const string ThresholdMasked = "threshold-masked";
    public const string ThresholdNoResponse = "threshold-no-response";

    /// <summary>SNOMED CT code of an ear.</summary>
    public static string Ear(EarSide side) => side switch { EarSide.Right => RightEar, EarSide.Left => LeftEar };
}
