using Hl7.Fhir.Model;

namespace EarReferral.Validation.Engine;

/// <summary>Judges as <see cref="StockEngine"/> does, and remembers what was clean so that the like of it need not be judged again.</summary>
/// <remarks>
/// Only clean verdicts are remembered: whatever has an issue is put before the stock engine every time, so its issues are always
/// the stock engine's own. The memory changes how long an answer takes and never what it is.
/// </remarks>
internal sealed class ProfileEngine(ProfileSet profiles)
{
    // Some 64 bytes each: enough for the findings of hundreds of different visits, and less than 1 MiB.
    private const int Remembered = 8192;

    private readonly StockEngine _stock = new(profiles);
    private readonly ContentKey _key = new(ReviewedRules.AreThoseOf(profiles.Definitions));
    private readonly CleanMemory _clean = new(Remembered);

    /// <summary>Judges one resource against one profile.</summary>
    /// <param name="resource">The resource; not changed.</param>
    /// <param name="profile">Canonical URL of the profile.</param>
    /// <param name="place">FHIRPath of the resource in what was handed over, such as <c>Bundle.entry[3].resource</c>.</param>
    public IReadOnlyList<ValidationIssue> Check(Resource resource, string profile, string place)
    {
        var key = _key.Of(resource, profile);
        if (key is { } known && _clean.Contains(known))
        {
            return [];
        }

        // The one that remembers is believed when it finds nothing; what it finds is for the stock engine to say.
        IReadOnlyList<ValidationIssue> issues = _stock.Remembering.Check(resource, profile, place).Count == 0 ? [] : _stock.Check(resource, profile, place);
        if (issues.Count == 0 && key is { } learnt)
        {
            _clean.Add(learnt);
        }

        return issues;
    }
}
