using System.Text.RegularExpressions;
using EarReferral.Triage.Evaluation;

namespace EarReferral.Triage.Rules;

/// <summary>Makes conditions ready to be evaluated, with the derived variables put in.</summary>
/// <param name="definitions">Expressions of the derived variables by name.</param>
internal sealed partial class ConditionReader(IReadOnlyDictionary<string, string> definitions)
{
    private readonly Dictionary<string, ConditionSyntax?> expanded = [];

    /// <summary>The leaves of all conditions that were read.</summary>
    public ConditionCompiler Compiler { get; } = new();

    /// <summary>The condition by the short way where it can be read that way, else by the FHIRPath library.</summary>
    /// <exception cref="FormatException">The condition is not FHIRPath, or uses what is not allowed in a condition.</exception>
    public Condition Read(string condition) =>
        Syntax(condition) is { } syntax ? Compiler.Compile(syntax) : Compiler.Compile(Expand(condition));

    /// <summary>The tree with derived variables put in; null where a part of it is outside of what <see cref="ConditionParser"/> reads.</summary>
    public ConditionSyntax? Syntax(string condition) => ConditionParser.Parse(condition) is { } read ? PutIn(read, 0) : null;

    /// <summary>The text with derived variables put in, in brackets; they may use each other, but never themselves.</summary>
    public string Expand(string condition)
    {
        var text = condition;
        for (var depth = 0; VariableName().Matches(text).Any(match => definitions.ContainsKey(match.Groups[1].Value)); depth++)
        {
            if (depth > definitions.Count)
            {
                throw new FormatException("derived variables refer to each other in a circle");
            }

            text = VariableName().Replace(text, match => definitions.TryGetValue(match.Groups[1].Value, out var definition) ? $"({definition})" : match.Value);
        }

        return text;
    }

    private ConditionSyntax? PutIn(ConditionSyntax syntax, int depth)
    {
        if (syntax is ConditionSyntax.Variable { Name: var name } && definitions.TryGetValue(name, out var definition))
        {
            if (!expanded.TryGetValue(name, out var known))
            {
                // A circle ends in the expansion of the text, which names it.
                known = depth <= definitions.Count && ConditionParser.Parse(definition) is { } read ? PutIn(read, depth + 1) : null;
                expanded[name] = known;
            }

            return known;
        }

        var children = new List<ConditionSyntax>();
        foreach (var child in syntax.Children)
        {
            if (PutIn(child, depth) is not { } done)
            {
                return null;
            }

            children.Add(done);
        }

        return syntax.With(children);
    }

    [GeneratedRegex("%([A-Za-z][A-Za-z0-9]*)")]
    private static partial Regex VariableName();
}
