using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>What the memory leaves out of its key rests on a review of every rule; another rule needs another review.</summary>
public sealed class ReviewedRulesTests
{
    // Read anew, as a starting service does: the library writes its own corrections into definitions that it has compiled.
    private static readonly IReadOnlyList<Resource> Definitions = ProfileSet.Embedded().Definitions;

    [Fact]
    public void EmbeddedRules_AreThoseThatWereReviewed() =>
        Assert.True(ReviewedRules.AreThoseOf(Definitions), $"Rules have changed. Until somebody has reviewed them as the remarks of {nameof(ReviewedRules)} say, nothing is left out of the key. New digest: {ReviewedRules.Digest(Definitions)}");

    [Fact]
    public void RuleThatReadsTheClock_IsNotCoveredByTheReview()
    {
        var changed = Definitions.Select(definition => (Resource)definition.DeepCopy()).ToList();
        changed.OfType<StructureDefinition>().Single(definition => definition.Id == "ear-observation").Snapshot!.Element[0].Constraint
            .Add(new ElementDefinition.ConstraintComponent { Key = "x-1", Severity = ConstraintSeverity.Error, Human = "Not in the future", Expression = "effective <= now()" });
        Assert.False(ReviewedRules.AreThoseOf(changed));
    }
}
