using System.Globalization;

namespace EarReferral.Referrals.States;

/// <summary>Which version of the ENT system's Task an update carries.</summary>
/// <param name="VersionId"><c>Task.meta.versionId</c>; opaque in FHIR, compared as a number only where both sides are one.</param>
/// <param name="LastModified"><c>Task.lastModified</c>.</param>
public sealed record TaskVersion(string? VersionId, DateTimeOffset LastModified)
{
    /// <summary>Greater than zero when this version is newer than the other; arrival order plays no part.</summary>
    public int CompareAge(TaskVersion other)
    {
        if (Number(VersionId) is { } mine && Number(other.VersionId) is { } theirs)
        {
            return mine.CompareTo(theirs);
        }

        return LastModified.CompareTo(other.LastModified);
    }

    private static long? Number(string? versionId) =>
        long.TryParse(versionId, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
