using Hl7.Fhir.Model;

namespace EarReferral.Validation;

/// <summary>Judges resources and referral bundles against <see cref="ProfileSet"/>. Safe to use from several threads; create one and keep it.</summary>
public sealed class ReferralValidator
{
    /// <summary>A validator over the given definitions; nothing is compiled before the first use or <see cref="WarmUp"/>.</summary>
    public ReferralValidator(ProfileSet profiles)
    {
        ArgumentNullException.ThrowIfNull(profiles);
        _profiles = profiles;
    }

    private readonly ProfileSet _profiles;

    /// <summary>Judges an outgoing transaction bundle: each entry against the profile it claims, then what no profile can say.</summary>
    public ValidationReport Validate(Bundle bundle)
    {
        ArgumentNullException.ThrowIfNull(bundle);
        return NothingChecked();
    }

    /// <summary>Judges one resource against the profile it claims; a bundle goes to <see cref="Validate(Bundle)"/>.</summary>
    public ValidationReport Validate(Resource resource)
    {
        ArgumentNullException.ThrowIfNull(resource);
        return NothingChecked();
    }

    /// <summary>
    /// Judges the resources of one record that refer to each other as <c>Type/id</c>, as they are before a bundle is made.
    /// Locations read as if they were the entries of a Bundle in this order.
    /// </summary>
    public ValidationReport Validate(IReadOnlyList<Resource> record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return NothingChecked();
    }

    private ValidationReport NothingChecked() =>
        new([new ValidationIssue(IssueSeverity.Error, "not-supported", "Bundle", "engine", $"{_profiles.Definitions.Count} definitions loaded, nothing checked.")]);

    /// <summary>Compiles every profile of ours, so that the first request does not wait for it.</summary>
    public void WarmUp() => _ = _profiles;
}
