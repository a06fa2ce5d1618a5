using Hl7.Fhir.Model;
using Hl7.FhirPath;

namespace EarReferral.Triage.Evaluation;

/// <summary>A part of a condition without logical operators, shared by all rules that contain it.</summary>
/// <param name="Number">Position in the rule book's list of leaves; the memo of <see cref="Facts"/> is indexed by it.</param>
/// <param name="Variables">Names of the variables it reads.</param>
/// <param name="Compared">Variables that it compares by order, and in which direction, for the check of elapsed times.</param>
/// <param name="Compiled">The FHIRPath expression, compiled once.</param>
/// <param name="Direct">A shorter way to the same answer, for leaves of the commonest forms.</param>
internal sealed record Leaf(
    int Number,
    IReadOnlyList<string> Variables,
    IReadOnlyList<(string Name, char Direction)> Compared,
    CompiledExpression Compiled,
    (string Variable, Func<PrimitiveType?, Certainty> Test)? Direct) : Condition
{
    public override IEnumerable<Leaf> Leaves => [this];

    public override Certainty Holds(Facts facts) => facts.Answer(this);

    public override void CollectOpen(Facts facts, ICollection<Leaf> open) => open.Add(this);
}
