using EarReferral.Triage.Rules;
using Hl7.FhirPath;

namespace EarReferral.Triage.Evaluation;

/// <summary>A part of a condition without logical operators, shared by all rules that contain it.</summary>
/// <param name="Number">Position in the rule book's list of leaves; the memo of <see cref="Facts"/> is indexed by it.</param>
/// <param name="Variables">Names of the variables it reads.</param>
/// <param name="Compared">Variables that it compares by order, and in which direction, for the check of elapsed times.</param>
/// <param name="Compiled">The FHIRPath expression; compiled when first needed, because that is slow.</param>
/// <param name="Syntax">The tree, or null for a part that only the FHIRPath engine can read.</param>
/// <param name="Direct">A shorter way to the same answer, where the tree has one.</param>
internal sealed record Leaf(
    int Number,
    IReadOnlyList<string> Variables,
    IReadOnlyList<(string Name, char Direction)> Compared,
    Lazy<CompiledExpression> Compiled,
    ConditionSyntax? Syntax = null,
    Func<Facts, Certainty>? Direct = null) : Condition
{
    public override IEnumerable<Leaf> Leaves => [this];

    public override Certainty Holds(Facts facts) => facts.Answer(this);

    public override void CollectOpen(Facts facts, ICollection<Leaf> open) => open.Add(this);
}
