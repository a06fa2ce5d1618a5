namespace EarReferral.Gateway.Security.People;

/// <summary>What people do here; one set of names everywhere.</summary>
internal static class PersonRole
{
    /// <summary>Sees patients, refers, telephones, closes.</summary>
    public const string Clinician = "clinician";

    /// <summary>Answers for the clinicians and the rules.</summary>
    public const string ClinicalLead = "clinicalLead";

    /// <summary>Answers for the running of the clinic; sees figures.</summary>
    public const string PracticeManager = "practiceManager";

    /// <summary>Runs the gateway; sees no clinical record beyond what sending needs.</summary>
    public const string Operator = "operator";

    /// <summary>Connects software; tries documents at the bench.</summary>
    public const string Integrator = "integrator";

    /// <summary>All of them.</summary>
    public static readonly IReadOnlySet<string> All = new HashSet<string>(StringComparer.Ordinal) { Clinician, ClinicalLead, PracticeManager, Operator, Integrator };

    /// <summary>The name in words.</summary>
    public static string Words(string role) => role switch
    {
        ClinicalLead => "clinical lead",
        PracticeManager => "practice manager",
        _ => role,
    };
}
