using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>What the memory leaves out of its key rests on a review of every rule; another rule needs another review.</summary>
public sealed class ReviewedRulesTests
{
    [Fact]
    public void EmbeddedRules_AreThoseThatWereReviewed() =>
        Assert.True(ReviewedRules.AreThoseOf(Judge.Profiles.Definitions), $"Rules have changed. Until somebody has reviewed them as the remarks of {nameof(ReviewedRules)} say, nothing is left out of the key. New digest: {ReviewedRules.Digest(Judge.Profiles.Definitions)}");

    [Fact]
    public void RuleThatReadsTheClock_IsNotCoveredByTheReview()
    {
        var changed = Judge.Profiles.Definitions.Select(definition => (Resource)definition.DeepCopy()).ToList();
        changed.OfType<StructureDefinition>().Single(definition => definition.Id == "ear-observation").Snapshot!.Element[0].Constraint
            .Add(new ElementDefinition.ConstraintComponent { Key = "x-1", Severity = ConstraintSeverity.Error, Human = "Not in the future", Expression = "effective <= now()" });
        Assert.False(ReviewedRules.AreThoseOf(changed));
    }
}
