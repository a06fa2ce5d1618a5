using Hl7.FhirPath;

namespace EarReferral.Triage.Evaluation;

/// <summary>A part of a condition without logical operators, shared by all rules that contain it.</summary>
/// <param name="Number">Position in the rule book's list of leaves; the memo of <see cref="Facts"/> is indexed by it.</param>
/// <param name="Variables">Names of the variables it reads.</param>
/// <param name="Compared">Names of the variables that it compares by order, for the check of elapsed times.</param>
/// <param name="Compiled">The FHIRPath expression, compiled once.</param>
internal sealed record Leaf(int Number, IReadOnlyList<string> Variables, IReadOnlyList<string> Compared, CompiledExpression Compiled) : Condition
{
    public override IEnumerable<Leaf> Leaves => [this];

    public override Certainty Holds(Facts facts) => facts.Answer(this);

    public override void CollectOpen(Facts facts, ICollection<Leaf> open) => open.Add(this);
}
