using System.Globalization;

namespace EarReferral.Triage.Rules;

/// <summary>The part of FHIRPath that rule conditions use, as a tree; its text is again FHIRPath with the same meaning.</summary>
/// <remarks>Brackets are not kept. Equal conditions are equal trees, so that rules share the parts they have in common.</remarks>
internal abstract record ConditionSyntax
{
    /// <summary>The parts of this one, in the order in which they are written.</summary>
    public abstract IReadOnlyList<ConditionSyntax> Children { get; }

    /// <summary>The same with other parts, given in the order of <see cref="Children"/>.</summary>
    public abstract ConditionSyntax With(IReadOnlyList<ConditionSyntax> children);

    /// <summary>This and everything below it, in the order in which it is written.</summary>
    public IEnumerable<ConditionSyntax> Parts => Children.SelectMany(child => child.Parts).Prepend(this);

    internal sealed record And(ConditionSyntax Left, ConditionSyntax Right) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Left, Right];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new And(children[0], children[1]);

        public override string ToString() => $"({Left} and {Right})";
    }

    internal sealed record Or(ConditionSyntax Left, ConditionSyntax Right) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Left, Right];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Or(children[0], children[1]);

        public override string ToString() => $"({Left} or {Right})";
    }

    internal sealed record Not(ConditionSyntax Operand) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Operand];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Not(children[0]);

        public override string ToString() => $"{Operand}.not()";
    }

    /// <summary><c>iif(test, then, otherwise)</c>.</summary>
    internal sealed record Choice(ConditionSyntax Test, ConditionSyntax Then, ConditionSyntax Otherwise) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Test, Then, Otherwise];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Choice(children[0], children[1], children[2]);

        public override string ToString() => $"iif({Test}, {Then}, {Otherwise})";
    }

    /// <summary>One of <c>=</c>, <c>!=</c>, <c>&lt;</c>, <c>&lt;=</c>, <c>&gt;</c>, <c>&gt;=</c> between two values.</summary>
    internal sealed record Compare(string Operator, ConditionSyntax Left, ConditionSyntax Right) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Left, Right];

        public bool IsOrder => Operator[0] is '<' or '>';

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Compare(Operator, children[0], children[1]);

        public override string ToString() => $"({Left} {Operator} {Right})";
    }

    /// <summary><c>exists(criterion)</c>; without a criterion, whether there is a value at all.</summary>
    internal sealed record Exists(ConditionSyntax Focus, ConditionSyntax? Criterion) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => Criterion is null ? [Focus] : [Focus, Criterion];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Exists(children[0], children.ElementAtOrDefault(1));

        public override string ToString() => $"{Focus}.exists({Criterion})";
    }

    /// <summary><c>where(criterion)</c>: the value, as long as it meets the criterion.</summary>
    internal sealed record Where(ConditionSyntax Focus, ConditionSyntax Criterion) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [Focus, Criterion];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => new Where(children[0], children[1]);

        public override string ToString() => $"{Focus}.where({Criterion})";
    }

    internal sealed record Variable(string Name) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => this;

        public override string ToString() => $"%{Name}";
    }

    /// <summary><c>$this</c> of a criterion.</summary>
    internal sealed record This : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => this;

        public override string ToString() => "$this";
    }

    internal sealed record Text(string Value) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => this;

        public override string ToString() => $"'{Value}'";
    }

    internal sealed record Number(int Value) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => this;

        public override string ToString() => Value.ToString(CultureInfo.InvariantCulture);
    }

    internal sealed record Truth(bool Value) : ConditionSyntax
    {
        public override IReadOnlyList<ConditionSyntax> Children => [];

        public override ConditionSyntax With(IReadOnlyList<ConditionSyntax> children) => this;

        public override string ToString() => Value ? "true" : "false";
    }
}
