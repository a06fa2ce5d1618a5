using System.Text.Json;
using EarReferral.Triage.Decisions;

namespace EarReferral.Triage.Rules;

/// <summary>Reads the FHIR files of a rule book and collects everything that is wrong with them.</summary>
internal sealed class RuleBookReader
{
    private readonly IReadOnlyList<(string Name, byte[] Content)> files;
    private readonly List<string> problems = [];
    private readonly Dictionary<string, Variable> variables = [];
    private readonly Dictionary<string, string> definitions = [];
    private readonly ConditionReader conditions;

    public RuleBookReader(IReadOnlyList<(string Name, byte[] Content)> files)
    {
        this.files = files;
        conditions = new ConditionReader(definitions);
    }

    /// <summary>The expressions of the derived variables, by name.</summary>
    public IReadOnlyDictionary<string, string> Definitions => definitions;

    /// <summary>What a local policy changed, in words.</summary>
    public IReadOnlyList<string> LocalChanges { get; init; } = [];

    /// <param name="sha256">Hash of the files.</param>
    /// <param name="withEngine">See <see cref="RuleBookCheck.Run"/>.</param>
    public (RuleBook? Book, IReadOnlyList<string> Problems) Read(string sha256, bool withEngine)
    {
        if (Parse(RuleBook.IndexFile, "Library") is not { } library)
        {
            return (null, problems);
        }

        ReadVariables(library);
        var rules = ReadRules(library);
        if (string.IsNullOrWhiteSpace(library.Text("version")))
        {
            problems.Add($"{RuleBook.IndexFile}: version is missing");
        }

        if (!variables.TryGetValue(RuleBook.AlreadyInvestigated, out var investigated) || investigated.Level is not VariableLevel.Patient)
        {
            problems.Add($"{RuleBook.IndexFile}: the patient-level variable {RuleBook.AlreadyInvestigated} is missing");
        }

        if (problems.Count == 0)
        {
            new RuleBookCheck(variables, problems).Run(rules, conditions.Compiler.LeafCount, withEngine);
        }

        return problems.Count == 0
            ? (new RuleBook(new RuleBookVersion(library.Text("version")!, sha256), variables, rules, conditions.Compiler.LeafCount) { LocalChanges = LocalChanges, Files = files }, problems)
            : (null, problems);
    }

    private void ReadVariables(FhirElement library)
    {
        foreach (var parameter in library.Items("parameter"))
        {
            var name = parameter.Text("name") ?? "";
            if (parameter.Extension(RuleVocabulary.Variable) is not { } declaration
                || declaration.Extension("expression")?.Object("valueExpression")?.Text("expression") is not { } expression)
            {
                problems.Add($"{RuleBook.IndexFile}: variable '{name}' has no declaration with an expression");
            }
            else if (declaration.ExtensionText("kind") == "derived")
            {
                Declare(name, () => definitions.Add(name, expression));
            }
            else if (ReadVariable(name, parameter, declaration, expression) is { } variable)
            {
                Declare(name, () => variables.Add(name, variable));
            }
        }

        foreach (var variable in variables.Values.Where(variable => variable.FalseWith is { } gate && !variables.ContainsKey(gate)))
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{variable.Name}' is false with '{variable.FalseWith}', which is not declared");
        }
    }

    private void Declare(string name, Action add)
    {
        if (name.Length == 0 || name == "side" || variables.ContainsKey(name) || definitions.ContainsKey(name))
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' is declared twice or may not be called so");
            return;
        }

        add();
    }

    private Variable? ReadVariable(string name, FhirElement parameter, FhirElement declaration, string expression)
    {
        if (Read<VariableKind>(declaration.ExtensionText("kind")) is not { } kind || Read<VariableLevel>(declaration.ExtensionText("level")) is not { } level)
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' has no known kind or level");
            return null;
        }

        if (parameter.WholeNumber("min") is not 0 || parameter.Text("max") is not "1" || parameter.Text("documentation") is not { Length: > 0 } question)
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' must have cardinality 0..1 and a question");
            return null;
        }

        OtoscopyMoment? moment = declaration.Extensions("moment").Any() ? Read<OtoscopyMoment>(declaration.ExtensionText("moment")) : OtoscopyMoment.None;
        var findings = declaration.Extensions("finding").Select(finding => finding.Text("valueCode")).ToList();
        if (moment is null || findings.Contains(null) || declaration.Extensions("false-with").Any(gate => string.IsNullOrEmpty(gate.Value)))
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' has a moment, a finding or a gate that cannot be read");
            return null;
        }

        return new Variable(name, kind, level, [.. findings.OfType<string>()], moment.Value, expression, question, declaration.ExtensionText("false-with"));
    }

    private List<CompiledRule> ReadRules(FhirElement library)
    {
        var rules = new List<CompiledRule>();
        var named = new HashSet<string>();
        foreach (var artifact in library.Items("relatedArtifact").Where(artifact => artifact.Text("type") == "composed-of"))
        {
            var canonical = artifact.Text("resource") ?? "";
            var id = canonical.Split('|')[0].Split('/')[^1];
            if (!named.Add(id))
            {
                problems.Add($"{RuleBook.IndexFile}: rule {id} is listed twice");
            }
            else if (Parse($"{id}.json", "PlanDefinition") is { } plan && ReadRule(id, canonical, plan) is { } rule)
            {
                rules.Add(rule);
            }
        }

        problems.AddRange(files.Select(file => file.Name)
            .Where(name => name != RuleBook.IndexFile && !named.Contains(Path.GetFileNameWithoutExtension(name)))
            .Select(name => $"{name}: not listed in {RuleBook.IndexFile}"));
        return rules;
    }

    private CompiledRule? ReadRule(string id, string canonical, FhirElement plan)
    {
        if (canonical != $"{plan.Text("url")}|{plan.Text("version")}" || plan.Text("id") != id)
        {
            problems.Add($"{id}.json: id, url and version do not match the index, which says {canonical}");
        }

        if (plan.Items("action") is not [var action] || action.Items("condition") is not [var applicability] || applicability.Text("kind") != "applicability"
            || applicability.Object("expression") is not { } published || published.Text("language") != RuleVocabulary.FhirPath
            || published.Text("expression") is not { } condition)
        {
            problems.Add($"{id}.json: a rule is one action with one FHIRPath applicability condition");
            return null;
        }

        if (Read<Tier>(plan.ExtensionText(RuleVocabulary.Tier)) is not { } tier
            || Read<RuleStrength>(plan.ExtensionText(RuleVocabulary.Strength)) is not { } strength
            || Read<RuleLevel>(plan.ExtensionText(RuleVocabulary.Level)) is not { } level
            || ReadDeadline(action.Object("timingDuration")) is not { } deadline)
        {
            problems.Add($"{id}.json: tier, strength, level or deadline is missing or unknown");
            return null;
        }

        if (Flag(id, plan, RuleVocabulary.Suppressible) is not { } suppressible || Flag(id, plan, RuleVocabulary.Asks) is not { } asks || Compile(id, condition) is not { } compiled)
        {
            return null;
        }

        string[] words = [
            plan.Text("title")!, plan.ExtensionText(RuleVocabulary.Destination)!, plan.ExtensionText(RuleVocabulary.TimeLimit)!, action.Text("description")!,
            plan.ExtensionText(RuleVocabulary.PatientText)!, Source(plan), plan.ExtensionText(RuleVocabulary.Provenance)!];
        if (words.Any(string.IsNullOrWhiteSpace))
        {
            problems.Add($"{id}.json: title, destination, time limit, clinician sentence, patient sentence, source or provenance is missing");
            return null;
        }

        var names = compiled.Leaves.SelectMany(leaf => leaf.Variables).Distinct().ToList();
        var rule = new Rule(
            plan.Items("identifier") is [var identifier] && identifier.Text("value") is { } number ? number : id, canonical, words[0], level, tier, strength, words[1], deadline, words[2], words[3], words[4], words[5], words[6],
            suppressible,
            tier is Tier.T0 or Tier.T1 || asks,
            condition);
        return new CompiledRule(
            rule,
            compiled,
            conditions.Compiler.CompileWhole(conditions.Expand(condition)),
            [.. names.Where(name => name != "side")],
            [.. names.Where(name => variables.TryGetValue(name, out var variable) && variable.IsElapsedTime)]);
    }

    private Evaluation.Condition? Compile(string id, string condition)
    {
        try
        {
            return conditions.Read(condition);
        }
        catch (Exception error) when (error is FormatException or ArgumentException or InvalidOperationException)
        {
            problems.Add($"{id}.json: the condition is not FHIRPath that may be used here: {error.Message}");
            return null;
        }
    }

    private FhirElement? Parse(string name, string type)
    {
        var content = files.Where(file => file.Name == name).Select(file => file.Content).ToList();
        if (content is not [var bytes])
        {
            problems.Add($"{name}: expected exactly one such file, found {content.Count}");
            return null;
        }

        try
        {
            using var document = JsonDocument.Parse(bytes, FhirElement.Strict);
            var root = new FhirElement(document.RootElement.Clone());
            if (root.Text("resourceType") == type)
            {
                return root;
            }

            problems.Add($"{name}: not a {type}");
        }
        catch (JsonException error)
        {
            problems.Add($"{name}: {error.Message}");
        }

        return null;
    }

    private static Deadline? ReadDeadline(FhirElement? timing) => (timing?.WholeNumber("value"), timing?.Text("code")) switch
    {
        ({ } amount, "h") => new Deadline(amount, DeadlineUnit.Hours),
        ({ } amount, "d") => new Deadline(amount, DeadlineUnit.Days),
        _ => null,
    };

    private static string Source(FhirElement plan) => string.Join("; ", plan.Items("relatedArtifact")
        .Where(artifact => artifact.Text("type") == "citation")
        .Select(artifact => artifact.Text("citation") ?? artifact.Text("display")));

    /// <summary>False where the extension is not there; null, and a problem, where it is there but says neither true nor false.</summary>
    private bool? Flag(string id, FhirElement plan, string url)
    {
        if (!plan.Extensions(url).Any())
        {
            return false;
        }

        switch (plan.ExtensionText(url))
        {
            case "true":
                return true;
            case "false":
                return false;
            default:
                problems.Add($"{id}.json: {url} is neither true nor false");
                return null;
        }
    }

    private static T? Read<T>(string? kebab)
        where T : struct, Enum =>
        kebab is not null && Enum.TryParse<T>(kebab.Replace("-", "", StringComparison.Ordinal), ignoreCase: true, out var value) && Enum.IsDefined(value) ? value : null;
}
