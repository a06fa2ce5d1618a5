namespace EarReferral.Storage.Identity;

/// <summary>What a named person decides about the identity of a patient record.</summary>
/// <param name="Linked">
/// True: all visits of the record are one person's, and the NHS number and birth date of its newest visit are right. False: the
/// record does not belong to the NHS number it carries.
/// </param>
/// <param name="Person">Who decides.</param>
/// <param name="Reason">Why, in the person's own words; kept with the decision, not in the audit row.</param>
/// <param name="Actor">Client that brought it, for the audit row.</param>
/// <param name="RequestId">Id of the request, for the audit row.</param>
/// <param name="At">When.</param>
public sealed record IdentityStatement(bool Linked, string Person, string Reason, string Actor, string? RequestId, DateTimeOffset At);

/// <summary>What became of an <see cref="IdentityStatement"/>.</summary>
public enum IdentityOutcome
{
    /// <summary>It holds until what the visits say changes.</summary>
    Kept,

    /// <summary>No such patient within reach.</summary>
    NotFound,

    /// <summary>The newest visit names no NHS number or was retracted, so there is nothing that could be confirmed.</summary>
    NoNumber,

    /// <summary>A record with another birth date was linked to the same number before; that one must be unlinked first.</summary>
    OtherIsLinked,
}
