namespace EarReferral.Gateway.Security;

/// <summary>Scopes of a client or token: those of SMART, and the gateway's own for what FHIR has no interaction for.</summary>
internal sealed class ScopeSet
{
    /// <summary>Post, correct and retract encounters.</summary>
    public const string Intake = "intake.write";

    /// <summary>Read receipts, referrals, matters and summaries of the clinic.</summary>
    public const string ClinicRead = "clinic.read";

    /// <summary>Act on referrals, alarms, quarantine and patients of the clinic.</summary>
    public const string ClinicWrite = "clinic.write";

    /// <summary>See and act on sending, destinations, alarms and rules.</summary>
    public const string Operations = "operations";

    private static readonly string[] Own = [Intake, ClinicRead, ClinicWrite, Operations];

    private readonly HashSet<string> own;
    private readonly IReadOnlyList<SmartScope> smart;

    private ScopeSet(IEnumerable<string> scopes)
    {
        var all = scopes.Distinct(StringComparer.Ordinal).ToList();
        own = [.. all.Where(Own.Contains)];
        smart = [.. all.Select(SmartScope.Parse).OfType<SmartScope>()];
        NotKnown = [.. all.Where(scope => !Own.Contains(scope) && SmartScope.Parse(scope) is null)];
    }

    /// <summary>What was named and is no scope of this gateway.</summary>
    public IReadOnlyList<string> NotKnown { get; }

    /// <summary>True when every FHIR type may be read.</summary>
    public bool ReadsAll => smart.Any(scope => scope.Allows("*", 'r'));

    /// <summary>Reads scopes that stand between spaces.</summary>
    public static ScopeSet Of(string? scopes) => new((scopes ?? "").Split(' ', StringSplitOptions.RemoveEmptyEntries));

    /// <summary>Whether it has one of the gateway's own scopes.</summary>
    public bool Has(string scope) => own.Contains(scope);

    /// <summary>Whether it grants a right on a FHIR type.</summary>
    public bool Allows(string type, char letter) => smart.Any(scope => scope.Allows(type, letter));

    /// <summary>What of a request lies within this set, as it was asked for; scopes delegate what was registered and never more.</summary>
    public IReadOnlyList<string> Grant(string? requested) =>
    [
        .. (requested ?? "").Split(' ', StringSplitOptions.RemoveEmptyEntries).Distinct(StringComparer.Ordinal)
            .Where(scope => own.Contains(scope) || (SmartScope.Parse(scope) is { } asked && smart.Any(granted => granted.Covers(asked)))),
    ];
}
