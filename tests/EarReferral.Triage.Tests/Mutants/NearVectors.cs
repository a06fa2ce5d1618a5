using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;

namespace EarReferral.Triage.Tests.Mutants;

/// <summary>Vectors that differ from a given one in one or two facts of a rule, at the limits that the rule names.</summary>
internal sealed class NearVectors
{
    private readonly IReadOnlyList<Rule> rules;
    private readonly List<(Variable Variable, string Value)> edits = [];

    public NearVectors(RuleBook book, IReadOnlyList<CompiledRule> compiled)
    {
        rules = [.. compiled.Select(rule => rule.Rule)];
        var leaves = compiled.SelectMany(rule => rule.Condition.Leaves).DistinctBy(leaf => leaf.Syntax).ToList();
        foreach (var variable in leaves.SelectMany(leaf => leaf.Variables).Where(name => name != "side").Distinct().Select(name => book.Variables[name]))
        {
            var parts = leaves.Where(leaf => leaf.Variables.Contains(variable.Name)).SelectMany(leaf => leaf.Syntax!.Parts).ToList();
            IEnumerable<string> values = variable.Kind switch
            {
                VariableKind.Boolean => ["yes", "no", "notAsked"],
                VariableKind.Code => [.. parts.OfType<ConditionSyntax.Text>().Select(text => text.Value).Distinct(), "right", "left", "notAsked"],
                VariableKind.Text or VariableKind.AudiogramWorseRun or VariableKind.AudiogramAsymmetry => [],
                VariableKind.Quantity or VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age =>
                    parts.OfType<ConditionSyntax.Number>().SelectMany(number => new[] { number.Value, number.Value - 1, number.Value + 1 }).Distinct()
                        .Select(number => number.ToString(CultureInfo.InvariantCulture)),
            };
            edits.AddRange(values.Select(value => (variable, value)));
        }
    }

    public IEnumerable<RuleVector> Of(RuleVector start, int facts)
    {
        var bare = start with { Tier = null, Rules = null, Questions = null, Source = rules[0].Source + "; limits as the rule has them" };
        foreach (var (first, value) in edits)
        {
            var one = With(bare, first, value);
            if (facts == 1)
            {
                yield return one;
                continue;
            }

            foreach (var (second, other) in edits.Where(edit => string.CompareOrdinal(edit.Variable.Name, first.Name) > 0))
            {
                yield return With(one, second, other);
            }
        }
    }

    public static string Write(IReadOnlyList<RuleVector> vectors)
    {
        var options = new JsonSerializerOptions { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, NewLine = "\n" };
        var array = new JsonArray([.. vectors.Select(vector => new JsonObject
        {
            ["id"] = vector.Id,
            ["rule"] = vector.Rule,
            ["expect"] = vector.Expect switch { Expectation.Fires => "fires", Expectation.Silent => "silent", Expectation.CannotExclude => "cannotExclude" },
            ["why"] = vector.Why,
            ["source"] = vector.Source,
            ["evaluatedAt"] = vector.EvaluatedAt.ToString("yyyy-MM-ddTHH:mm:sszzz", CultureInfo.InvariantCulture),
            ["zone"] = vector.Zone,
            ["birthDate"] = vector.BirthDate,
            ["right"] = JsonSerializer.SerializeToNode(vector.Right),
            ["left"] = JsonSerializer.SerializeToNode(vector.Left),
            ["patient"] = JsonSerializer.SerializeToNode(vector.Patient),
        })]);
        return array.ToJsonString(options) + "\n";
    }

    private static RuleVector With(RuleVector vector, Variable variable, string value)
    {
        var today = DateOnly.FromDateTime(vector.EvaluatedAt.DateTime);
        if (variable.Kind is VariableKind.Age)
        {
            return vector with { BirthDate = Iso(today.AddYears(-int.Parse(value, CultureInfo.InvariantCulture))) };
        }

        var element = variable.Kind switch
        {
            VariableKind.Quantity => JsonSerializer.SerializeToElement(int.Parse(value, CultureInfo.InvariantCulture)),
            VariableKind.DaysSince => JsonSerializer.SerializeToElement(Iso(today.AddDays(-int.Parse(value, CultureInfo.InvariantCulture)))),
            VariableKind.HoursSince => JsonSerializer.SerializeToElement(
                vector.EvaluatedAt.AddHours(-int.Parse(value, CultureInfo.InvariantCulture)).ToString("yyyy-MM-ddTHH:mm:sszzz", CultureInfo.InvariantCulture)),
            _ => JsonSerializer.SerializeToElement(value),
        };
        var key = (variable.Moment is OtoscopyMoment.Before ? "before:" : "") + variable.FindingCodes[0];
        var right = vector.Right.Count > 0 || vector.Left.Count == 0;
        return variable.Level switch
        {
            VariableLevel.Patient => vector with { Patient = Put(vector.Patient) },
            VariableLevel.RightEar => vector with { Right = Put(vector.Right) },
            VariableLevel.LeftEar => vector with { Left = Put(vector.Left) },
            VariableLevel.Ear => right ? vector with { Right = Put(vector.Right) } : vector with { Left = Put(vector.Left) },
            VariableLevel.OtherEar => right ? vector with { Left = Put(vector.Left) } : vector with { Right = Put(vector.Right) },
        };

        Dictionary<string, JsonElement> Put(IReadOnlyDictionary<string, JsonElement> facts) => new(facts) { [key] = element };
    }

    private static string Iso(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
