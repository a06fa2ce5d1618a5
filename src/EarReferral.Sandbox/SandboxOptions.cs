namespace EarReferral.Sandbox;

/// <summary>How the stand-in receiver runs.</summary>
/// <param name="Urls">Loopback addresses to listen at.</param>
/// <param name="DataFolder">Folder that holds the journal.</param>
/// <param name="Callback">FHIR base of the gateway that answers go to; null when nobody is answered.</param>
/// <param name="AcknowledgeAfter">How long after acceptance a Task becomes <c>received</c>; null for never.</param>
/// <param name="AcceptAfter">How long after acceptance a Task becomes <c>accepted</c>; null for never.</param>
internal sealed record SandboxOptions(
    IReadOnlyList<Uri> Urls,
    string DataFolder,
    Uri? Callback,
    TimeSpan? AcknowledgeAfter,
    TimeSpan? AcceptAfter)
{
    /// <summary>
    /// How long the receiver thinks between looking for what <c>ifNoneExist</c> names and creating it, with nothing to keep a second
    /// sender out; null when the two are one step. FHIR R4 does not promise that they are.
    /// </summary>
    public TimeSpan? CreateGap { get; init; }

    /// <summary>False for a receiver that only creates, by condition, and declares no more.</summary>
    public bool Updates { get; init; } = true;
}
