namespace EarReferral.Gateway.Security;

/// <summary>Kinds of caller; each reaches its own data and no other (docs/security.md).</summary>
[Flags]
internal enum CallerKinds
{
    None = 0,

    /// <summary>Software of a clinic: posts and reads what its clinic recorded.</summary>
    Clinic = 1,

    /// <summary>A GP practice: reads the patients registered with it.</summary>
    GpPractice = 2,

    /// <summary>A receiving system: reads what is addressed to it and reports on its Tasks.</summary>
    Ent = 4,

    /// <summary>Whoever runs the gateway: sending, destinations, alarms, rules; no clinical record.</summary>
    Operator = 8,

    /// <summary>A person of a clinic at its board of referrals.</summary>
    BoardUser = 16,

    /// <summary>Somebody who looks at a page in a browser.</summary>
    Person = 32,

    /// <summary>Kinds that act for a clinic.</summary>
    OfClinic = Clinic | BoardUser,

    /// <summary>Kinds that read FHIR.</summary>
    Readers = Clinic | GpPractice | Ent | BoardUser,

    Any = Clinic | GpPractice | Ent | Operator | BoardUser,
}
