using System.Globalization;

namespace EarReferral.Triage.Rules;

/// <summary>
/// Reads the part of FHIRPath that rule conditions use: variables, literals, comparison, <c>and</c>, <c>or</c>, <c>not()</c>,
/// <c>exists()</c>, <c>where()</c> and <c>iif()</c>. Anything else is left to the general parser, which is right but some hundred times slower.
/// </summary>
/// <remarks>Precedence follows FHIRPath 2.0.0, section 8.1: comparison, then <c>and</c>, then <c>or</c>; chains of comparisons are not accepted.</remarks>
internal sealed class ConditionParser
{
    private readonly string text;
    private int at;

    private ConditionParser(string text) => this.text = text;

    /// <summary>The condition as a tree, or null where any of it is outside this part of the language.</summary>
    public static ConditionSyntax? Parse(string condition)
    {
        var parser = new ConditionParser(condition);
        return parser.Either() is { } read && parser.Peek() is '\0' ? read : null;
    }

    private ConditionSyntax? Either()
    {
        var left = Both();
        while (left is not null && Word("or"))
        {
            left = Both() is { } right ? new ConditionSyntax.Or(left, right) : null;
        }

        return left;
    }

    private ConditionSyntax? Both()
    {
        var left = Comparison();
        while (left is not null && Word("and"))
        {
            left = Comparison() is { } right ? new ConditionSyntax.And(left, right) : null;
        }

        return left;
    }

    private ConditionSyntax? Comparison()
    {
        var left = Value();
        return left is not null && Operator() is { } comparator
            ? Value() is { } right ? new ConditionSyntax.Compare(comparator, left, right) : null
            : left;
    }

    private ConditionSyntax? Value()
    {
        var value = Term();
        while (value is not null && Peek() is '.')
        {
            at++;
            _ = Peek();
            value = (Name(), Arguments()) switch
            {
                ("not", []) => new ConditionSyntax.Not(value),
                ("exists", []) => new ConditionSyntax.Exists(value, null),
                ("exists", [var criterion]) => new ConditionSyntax.Exists(value, criterion),
                ("where", [var criterion]) => new ConditionSyntax.Where(value, criterion),
                _ => null,
            };
        }

        return value;
    }

    private ConditionSyntax? Term()
    {
        switch (Peek())
        {
            case '(':
                return Arguments() is [var bracketed] ? bracketed : null;
            case '%':
                at++;
                return Name() is { Length: > 0 } variable ? new ConditionSyntax.Variable(variable) : null;
            case '$':
                at++;
                return Name() == "this" ? new ConditionSyntax.This() : null;
            case '\'':
                return Text();
            case >= '0' and <= '9':
                return Number();
            default:
                return Name() switch
                {
                    "true" => new ConditionSyntax.Truth(true),
                    "false" => new ConditionSyntax.Truth(false),
                    "iif" when Arguments() is [var test, var then, var otherwise] => new ConditionSyntax.Choice(test, then, otherwise),
                    _ => null,
                };
        }
    }

    /// <summary>What stands in brackets, or null where that cannot be read.</summary>
    private List<ConditionSyntax>? Arguments()
    {
        if (Peek() is not '(')
        {
            return null;
        }

        at++;
        var arguments = new List<ConditionSyntax>();
        if (Peek() is ')')
        {
            at++;
            return arguments;
        }

        while (Either() is { } argument)
        {
            arguments.Add(argument);
            switch (Peek())
            {
                case ',':
                    at++;
                    continue;
                case ')':
                    at++;
                    return arguments;
                default:
                    return null;
            }
        }

        return null;
    }

    private ConditionSyntax.Text? Text()
    {
        var end = text.IndexOf('\'', at + 1);
        var value = end < 0 ? "\\" : text[(at + 1)..end];
        at = end + 1;
        return value.Contains('\\', StringComparison.Ordinal) ? null : new ConditionSyntax.Text(value);
    }

    /// <summary>A whole number; what follows it (a fraction, a unit) makes the condition unreadable here.</summary>
    private ConditionSyntax.Number? Number()
    {
        var start = at;
        while (at < text.Length && char.IsAsciiDigit(text[at]))
        {
            at++;
        }

        return int.TryParse(text.AsSpan(start, at - start), NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? new ConditionSyntax.Number(number) : null;
    }

    private string? Operator()
    {
        _ = Peek();
        foreach (var comparator in (ReadOnlySpan<string>)["!=", "<=", ">=", "=", "<", ">"])
        {
            if (string.CompareOrdinal(text, at, comparator, 0, comparator.Length) == 0)
            {
                at += comparator.Length;
                return comparator;
            }
        }

        return null;
    }

    private bool Word(string word)
    {
        _ = Peek();
        var start = at;
        if (Name() == word)
        {
            return true;
        }

        at = start;
        return false;
    }

    private string Name()
    {
        var start = at;
        while (at < text.Length && (char.IsAsciiLetter(text[at]) || text[at] is '_' || (at > start && char.IsAsciiDigit(text[at]))))
        {
            at++;
        }

        return text[start..at];
    }

    /// <summary>The next character that is not white space, without reading it; a zero character at the end.</summary>
    private char Peek()
    {
        while (at < text.Length && (text[at] is ' ' or '\t' or '\n' or '\r'))
        {
            at++;
        }

        return at < text.Length ? text[at] : '\0';
    }
}
