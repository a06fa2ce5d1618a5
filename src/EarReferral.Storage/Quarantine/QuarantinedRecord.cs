using EarReferral.Storage.Encounters;

namespace EarReferral.Storage.Quarantine;

/// <summary>An encounter that is, or was, kept without a record because the record failed our own profiles.</summary>
/// <param name="Encounter">Its newest revision.</param>
/// <param name="Checks">Every look at it, oldest first.</param>
public sealed record QuarantinedRecord(StoredEncounter Encounter, IReadOnlyList<RecordCheck> Checks)
{
    /// <summary>True while nothing of it is sent or served.</summary>
    public bool IsQuarantined => Encounter.IsQuarantined;

    /// <summary>True when its newest revision was released; false when a correction or a retraction has taken its place.</summary>
    public bool IsReleased => !IsQuarantined && Checks[^1].Passed && Checks[^1].Revision == Encounter.Revision;
}
