using System.Text.Json;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;

namespace EarReferral.Triage.Tests.Mutants;

/// <summary>
/// Changes every published condition in every small way and asks whether a vector notices. What no vector notices is either a gap of the
/// vectors or a change that means the same; the latter are named one by one, with the reason, in <c>equivalent.json</c>.
/// </summary>
public sealed class RuleMutationTests(ITestOutputHelper output)
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web);

    [Fact]
    public void Vectors_catch_at_least_95_of_100_changed_rules()
    {
        var equivalent = JsonSerializer.Deserialize<Equivalent[]>(
            File.ReadAllBytes(Repository.At("tests", "EarReferral.Triage.Tests", "Mutants", "equivalent.json")), Web)!;
        var (mutants, cases, _, _) = Prepare(RuleBookFiles.Book);

        var survivors = mutants.Where(mutant => !Caught(mutant, cases)).ToList();

        var named = survivors.Where(mutant => Array.Exists(equivalent, known => known.Mutant == mutant.Name)).ToList();
        var unnamed = survivors.Except(named).ToList();
        var share = 100.0 * (mutants.Count - survivors.Count) / (mutants.Count - named.Count);
        var report = $"{mutants.Count} changed rules, {mutants.Count - survivors.Count} caught, {named.Count} that mean the same, {unnamed.Count} missed: {share:0.0} of 100 caught";
        var fromSources = cases.Where(vector => !vector.Vector.Id.StartsWith("MU-", StringComparison.Ordinal)).ToList();
        output.WriteLine(report);
        var unsourced = mutants.Where(mutant => !Caught(mutant, fromSources)).Except(named).ToList();
        var urgent = mutants.Where(mutant => mutant.Changed.Any(changed => changed.Rule.Rule.Tier is Tier.T0 or Tier.T1)).ToList();
        var (sourced, sourcedUrgent) = (Share(mutants.Except(named), unsourced), Share(urgent.Except(named), unsourced));
        output.WriteLine($"Without the derived vectors: {sourced:0.0} of 100 caught, of rules of tier T0 and T1 {sourcedUrgent:0.0} of 100");
        foreach (var mutant in unsourced)
        {
            output.WriteLine($"only by a derived vector or not at all: {mutant.Name}");
        }

        Assert.True(sourced >= 85 && sourcedUrgent >= 95, $"By written vectors alone {sourced:0.0} and, for T0 and T1, {sourcedUrgent:0.0} of 100");
        Assert.True(share >= 95, report + "\n" + string.Join('\n', unnamed.Select(mutant => mutant.Name)));
        Assert.True(named.Count <= 0.03 * mutants.Count, report);
        Assert.Equal([], equivalent.Where(known => named.TrueForAll(mutant => mutant.Name != known.Mutant)).Select(known => $"{known.Mutant} is caught or does not exist: {known.Why}"));
    }

    /// <summary>Writes <c>mutants.json</c> anew; run by hand after a change of a rule, and read what it wrote.</summary>
    [Fact(Explicit = true)]
    public void Derived_vectors_are_written_for_what_no_other_vector_catches()
    {
        var book = RuleBookFiles.Book;
        var all = Prepare(book);
        var cases = all.Cases.Where(vector => !vector.Vector.Id.StartsWith("MU-", StringComparison.Ordinal)).ToList();
        var open = all.Mutants.Where(mutant => !Caught(mutant, cases)).ToList();
        var derived = new List<RuleVector>();
        foreach (var facts in new[] { 1, 2 })
        {
            foreach (var number in book.Rules.Select(rule => rule.Id).Distinct())
            {
                var near = new NearVectors(book, all.Unchanged.Where(rule => rule.Rule.Id == number).ToList());
                var bases = cases.Select(vector => vector.Vector).Where(vector => vector.Rule == number)
                    .Where(vector => facts == 1 || vector.Expect is Expectation.Fires).Take(facts == 1 ? int.MaxValue : 1).ToList();
                foreach (var candidate in bases.SelectMany(vector => near.Of(vector, facts)))
                {
                    var concerned = open.Where(mutant => mutant.Changed.Any(changed => changed.Rule.Rule.Id == number)).ToList();
                    if (concerned.Count == 0)
                    {
                        break;
                    }

                    var tried = new VectorCase(book, candidate, all.LeafCount, all.Unchanged);
                    var caught = concerned.Where(mutant => tried.Catches(mutant.Changed)).ToList();
                    if (caught.Count > 0)
                    {
                        derived.Add(candidate with { Id = $"MU-{derived.Count + 1:000}", Expect = tried.Expectation, Why = $"Distinguishes the rule from the same with {caught[0].Name.Split(": ", 2)[1]}" });
                        open.RemoveAll(caught.Contains);
                    }
                }
            }
        }

        output.WriteLine($"{derived.Count} vectors, {open.Count} changes left");
        File.WriteAllText(Repository.At("tests", "EarReferral.Triage.Tests", "Vectors") + "/mutants.json", NearVectors.Write(derived));
    }

    private static double Share(IEnumerable<Mutant> all, IReadOnlyCollection<Mutant> missed)
    {
        var counted = all.ToList();
        return 100.0 * (counted.Count - counted.Count(missed.Contains)) / counted.Count;
    }

    private static bool Caught(Mutant mutant, IReadOnlyList<VectorCase> cases)
    {
        var rules = mutant.Changed.Select(changed => changed.Rule.Rule.Id).ToHashSet();
        return cases.OrderByDescending(vector => rules.Contains(vector.Vector.Rule)).Any(vector => vector.Catches(mutant.Changed));
    }

    /// <summary>All mutants share one numbering of leaves, so that the facts of a vector are bound once for all of them.</summary>
    private static (IReadOnlyList<Mutant> Mutants, IReadOnlyList<VectorCase> Cases, IReadOnlyList<CompiledRule> Unchanged, int LeafCount) Prepare(RuleBook book)
    {
        var compiler = new ConditionCompiler();
        var makes = new ConditionMutants(book.Variables);
        var reader = new ConditionReader(RuleBookFiles.Definitions);
        var trees = book.CompiledRules.Select(rule => reader.Syntax(rule.Rule.Condition)!).ToList();
        var unchanged = book.CompiledRules.Zip(trees, (rule, tree) => Recompiled(book, rule, tree, compiler)).ToList();
        var mutants = new List<Mutant>();
        foreach (var (index, rule) in book.CompiledRules.Index())
        {
            var file = rule.Rule.Canonical.Split('|')[0].Split('/')[^1];
            foreach (var (number, (change, tree)) in makes.Of(ConditionParser.Parse(rule.Rule.Condition)!).Index())
            {
                var text = tree.ToString();
                mutants.Add(new Mutant($"{file} {number}: {change}", [(index, Recompiled(book, rule, reader.Syntax(text)!, compiler))]));
            }
        }

        foreach (var (name, definition) in RuleBookFiles.Definitions)
        {
            foreach (var (number, (change, tree)) in makes.Of(ConditionParser.Parse(definition)!).Index())
            {
                var changed = new ConditionReader(new Dictionary<string, string>(RuleBookFiles.Definitions) { [name] = tree.ToString() });
                mutants.Add(new Mutant(
                    $"%{name} {number}: {change}",
                    [.. book.CompiledRules.Index().Select(rule => (rule.Index, rule.Item, Tree: changed.Syntax(rule.Item.Rule.Condition)!))
                        .Where(rule => rule.Tree != trees[rule.Index])
                        .Select(rule => (rule.Index, Recompiled(book, rule.Item, rule.Tree, compiler)))]));
            }
        }

        return (mutants, [.. RuleVector.All.Select(vector => new VectorCase(book, vector, compiler.LeafCount, unchanged))], unchanged, compiler.LeafCount);
    }

    private static CompiledRule Recompiled(RuleBook book, CompiledRule rule, ConditionSyntax tree, ConditionCompiler compiler)
    {
        var condition = compiler.Compile(tree);
        var names = condition.Leaves.SelectMany(leaf => leaf.Variables).Where(name => name != "side").Distinct().ToList();
        return rule with { Condition = condition, VariableNames = names, ElapsedTimes = [.. names.Where(name => book.Variables[name].IsElapsedTime)] };
    }

    private sealed record Mutant(string Name, IReadOnlyList<(int Index, CompiledRule Rule)> Changed);

    private sealed record Equivalent(string Mutant, string Why);
}
