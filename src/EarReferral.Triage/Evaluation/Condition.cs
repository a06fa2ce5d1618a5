namespace EarReferral.Triage.Evaluation;

/// <summary>A rule condition split at its logical operators, so that the facts which leave it open can be named.</summary>
/// <remarks>
/// A leaf is evaluated directly where it can be, else by the FHIRPath engine; the operators follow the three-valued tables of FHIRPath
/// (FHIRPath 2.0.0, section 6.5). A test compares this with the engine's answer to the undivided expression.
/// </remarks>
internal abstract record Condition
{
    /// <summary>Whether the condition holds.</summary>
    public abstract Certainty Holds(Facts facts);

    /// <summary>Adds the leaves that keep the condition open; call only where it is <see cref="Certainty.Unknown"/>.</summary>
    public abstract void CollectOpen(Facts facts, ICollection<Leaf> open);

    /// <summary>Every leaf, for checks at load and for the facts a fired rule used.</summary>
    public abstract IEnumerable<Leaf> Leaves { get; }

    internal sealed record And(Condition Left, Condition Right) : Condition
    {
        public override IEnumerable<Leaf> Leaves => Left.Leaves.Concat(Right.Leaves);

        public override Certainty Holds(Facts facts)
        {
            var left = Left.Holds(facts);
            return left is Certainty.False ? left : (Certainty)Math.Min((int)left, (int)Right.Holds(facts));
        }

        public override void CollectOpen(Facts facts, ICollection<Leaf> open) => CollectUnknown([Left, Right], facts, open);
    }

    internal sealed record Or(Condition Left, Condition Right) : Condition
    {
        public override IEnumerable<Leaf> Leaves => Left.Leaves.Concat(Right.Leaves);

        public override Certainty Holds(Facts facts)
        {
            var left = Left.Holds(facts);
            return left is Certainty.True ? left : (Certainty)Math.Max((int)left, (int)Right.Holds(facts));
        }

        public override void CollectOpen(Facts facts, ICollection<Leaf> open) => CollectUnknown([Left, Right], facts, open);
    }

    internal sealed record Not(Condition Operand) : Condition
    {
        public override IEnumerable<Leaf> Leaves => Operand.Leaves;

        public override Certainty Holds(Facts facts) => (Certainty)((int)Certainty.True - (int)Operand.Holds(facts));

        public override void CollectOpen(Facts facts, ICollection<Leaf> open) => Operand.CollectOpen(facts, open);
    }

    /// <summary><c>iif(test, then, otherwise)</c>; an unknown test takes the other branch, as in FHIRPath.</summary>
    internal sealed record Choice(Condition Test, Condition Then, Condition Otherwise) : Condition
    {
        public override IEnumerable<Leaf> Leaves => Test.Leaves.Concat(Then.Leaves).Concat(Otherwise.Leaves);

        public override Certainty Holds(Facts facts) => Taken(facts).Holds(facts);

        public override void CollectOpen(Facts facts, ICollection<Leaf> open) => Taken(facts).CollectOpen(facts, open);

        private Condition Taken(Facts facts) => Test.Holds(facts) is Certainty.True ? Then : Otherwise;
    }

    private static void CollectUnknown(ReadOnlySpan<Condition> parts, Facts facts, ICollection<Leaf> open)
    {
        foreach (var part in parts)
        {
            if (part.Holds(facts) is Certainty.Unknown)
            {
                part.CollectOpen(facts, open);
            }
        }
    }
}
