using System.Text.Json;
using System.Text.RegularExpressions;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Triage.Rules;

/// <summary>Reads the FHIR files of a rule book and collects everything that is wrong with them.</summary>
internal sealed partial class RuleBookReader(IReadOnlyList<(string Name, byte[] Content)> files)
{
    private static readonly JsonSerializerOptions Fhir = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    private readonly List<string> problems = [];
    private readonly ConditionCompiler compiler = new();
    private readonly Dictionary<string, Variable> variables = [];
    private readonly Dictionary<string, string> definitions = [];

    public RuleBook Read(string sha256)
    {
        var library = Parse<Library>(RuleBook.IndexFile);
        if (library is null)
        {
            throw new InvalidRuleBookException(problems);
        }

        ReadVariables(library);
        var rules = ReadRules(library);
        if (string.IsNullOrWhiteSpace(library.Version))
        {
            problems.Add($"{RuleBook.IndexFile}: version is missing");
        }

        if (!variables.TryGetValue(RuleBook.AlreadyInvestigated, out var investigated) || investigated.Level is not VariableLevel.Patient)
        {
            problems.Add($"{RuleBook.IndexFile}: the patient-level variable {RuleBook.AlreadyInvestigated} is missing");
        }

        if (problems.Count == 0)
        {
            new RuleBookCheck(variables, problems).Run(rules, compiler.LeafCount);
        }

        return problems.Count == 0
            ? new RuleBook(new RuleBookVersion(library.Version!, sha256), variables, rules, compiler.LeafCount)
            : throw new InvalidRuleBookException(problems);
    }

    private void ReadVariables(Library library)
    {
        foreach (var parameter in library.Parameter)
        {
            var name = parameter.Name ?? "";
            var declaration = parameter.GetExtension(RuleVocabulary.Variable);
            var expression = (Part(declaration, "expression") as Expression)?.Expression_;
            if (declaration is null || expression is null)
            {
                problems.Add($"{RuleBook.IndexFile}: variable '{name}' has no declaration with an expression");
            }
            else if (Text(declaration, "kind") == "derived")
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

    private Variable? ReadVariable(string name, ParameterDefinition parameter, Extension declaration, string expression)
    {
        try
        {
            compiler.CompileWhole(expression);
        }
        catch (Exception error) when (error is FormatException or ArgumentException or InvalidOperationException)
        {
            problems.Add($"{RuleBook.IndexFile}: the expression of '{name}' is not FHIRPath: {error.Message}");
            return null;
        }

        if (Read<VariableKind>(Text(declaration, "kind")) is not { } kind || Read<VariableLevel>(Text(declaration, "level")) is not { } level)
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' has no known kind or level");
            return null;
        }

        if (parameter is not { Min: 0, Max: "1", Documentation.Length: > 0 })
        {
            problems.Add($"{RuleBook.IndexFile}: variable '{name}' must have cardinality 0..1 and a question");
            return null;
        }

        return new Variable(
            name,
            kind,
            level,
            [.. declaration.GetExtensions("finding").Select(finding => finding.Value).OfType<Code>().Select(code => code.Value!)],
            Read<OtoscopyMoment>(Text(declaration, "moment")) ?? OtoscopyMoment.None,
            expression,
            parameter.Documentation,
            Text(declaration, "false-with"));
    }

    private List<CompiledRule> ReadRules(Library library)
    {
        var rules = new List<CompiledRule>();
        var named = new HashSet<string>();
        foreach (var artifact in library.RelatedArtifact.Where(artifact => artifact.Type is RelatedArtifact.RelatedArtifactType.ComposedOf))
        {
            var canonical = artifact.Resource ?? "";
            var id = canonical.Split('|')[0].Split('/')[^1];
            if (!named.Add(id))
            {
                problems.Add($"{RuleBook.IndexFile}: rule {id} is listed twice");
            }
            else if (Parse<PlanDefinition>($"{id}.json") is { } plan && ReadRule(id, canonical, plan) is { } rule)
            {
                rules.Add(rule);
            }
        }

        problems.AddRange(files.Select(file => file.Name)
            .Where(name => name != RuleBook.IndexFile && !named.Contains(Path.GetFileNameWithoutExtension(name)))
            .Select(name => $"{name}: not listed in {RuleBook.IndexFile}"));
        return rules;
    }

    private CompiledRule? ReadRule(string id, string canonical, PlanDefinition plan)
    {
        if (canonical != $"{plan.Url}|{plan.Version}" || plan.Id != id)
        {
            problems.Add($"{id}.json: id, url and version do not match the index, which says {canonical}");
        }

        if (plan.Action is not [{ Condition: [{ Kind: ActionConditionKind.Applicability, Expression: { Language: RuleVocabulary.FhirPath, Expression_: { } condition } }] } action])
        {
            problems.Add($"{id}.json: a rule is one action with one FHIRPath applicability condition");
            return null;
        }

        if (Read<Tier>(Text(plan, RuleVocabulary.Tier)) is not { } tier
            || Read<RuleStrength>(Text(plan, RuleVocabulary.Strength)) is not { } strength
            || Read<RuleLevel>(Text(plan, RuleVocabulary.Level)) is not { } level
            || ReadDeadline(action.Timing) is not { } deadline)
        {
            problems.Add($"{id}.json: tier, strength, level or deadline is missing or unknown");
            return null;
        }

        if (Compile(id, condition) is not { } compiled)
        {
            return null;
        }

        string[] words = [
            plan.Title!, Text(plan, RuleVocabulary.Destination)!, Text(plan, RuleVocabulary.TimeLimit)!, action.Description!,
            Text(plan, RuleVocabulary.PatientText)!, Source(plan), Text(plan, RuleVocabulary.Provenance)!];
        if (words.Any(string.IsNullOrWhiteSpace))
        {
            problems.Add($"{id}.json: title, destination, time limit, clinician sentence, patient sentence, source or provenance is missing");
            return null;
        }

        var names = compiled.Leaves.SelectMany(leaf => leaf.Variables).Distinct().ToList();
        var rule = new Rule(
            id, canonical, words[0], level, tier, strength, words[1], deadline, words[2], words[3], words[4], words[5], words[6],
            Flag(plan, RuleVocabulary.Suppressible),
            tier is Tier.T0 or Tier.T1 || Flag(plan, RuleVocabulary.Asks),
            condition);
        return new CompiledRule(
            rule,
            compiled,
            compiler.CompileWhole(Expand(condition)),
            [.. names.Where(name => name != "side")],
            [.. names.Where(name => variables.TryGetValue(name, out var variable) && variable.IsElapsedTime)]);
    }

    private Evaluation.Condition? Compile(string id, string condition)
    {
        try
        {
            return compiler.Compile(Expand(condition));
        }
        catch (Exception error) when (error is FormatException or ArgumentException or InvalidOperationException)
        {
            problems.Add($"{id}.json: the condition is not FHIRPath that may be used here: {error.Message}");
            return null;
        }
    }

    /// <summary>Puts derived variables in; they may use each other, but never themselves.</summary>
    private string Expand(string condition)
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

    private T? Parse<T>(string name)
        where T : Resource
    {
        var content = files.Where(file => file.Name == name).Select(file => file.Content).ToList();
        if (content is not [var bytes])
        {
            problems.Add($"{name}: expected exactly one such file, found {content.Count}");
            return null;
        }

        try
        {
            if (JsonSerializer.Deserialize<Resource>(bytes, Fhir) is T resource)
            {
                return resource;
            }

            problems.Add($"{name}: not a {typeof(T).Name}");
        }
        catch (Exception error) when (error is JsonException or DeserializationFailedException)
        {
            problems.Add($"{name}: {error.Message}");
        }

        return null;
    }

    private static Deadline? ReadDeadline(DataType? timing) => timing is not Duration { Value: { } amount, Code: { } unit } || amount != (int)amount ? null : unit switch
    {
        "h" => new Deadline((int)amount, DeadlineUnit.Hours),
        "d" => new Deadline((int)amount, DeadlineUnit.Days),
        _ => null,
    };

    private static string Source(PlanDefinition plan) => string.Join("; ", plan.RelatedArtifact
        .Where(artifact => artifact.Type is RelatedArtifact.RelatedArtifactType.Citation)
        .Select(artifact => artifact.Citation?.ToString() ?? artifact.Display));

    private static DataType? Part(Extension? extension, string url) => extension?.GetExtension(url)?.Value;

    private static string? Text(Extension extension, string url) => (Part(extension, url) as PrimitiveType)?.ToString();

    private static string? Text(PlanDefinition plan, string url) => (plan.GetExtension(url)?.Value as PrimitiveType)?.ToString();

    private static bool Flag(PlanDefinition plan, string url) => plan.GetExtension(url)?.Value is FhirBoolean { Value: true };

    private static T? Read<T>(string? kebab)
        where T : struct, Enum =>
        kebab is not null && Enum.TryParse<T>(kebab.Replace("-", "", StringComparison.Ordinal), ignoreCase: true, out var value) && Enum.IsDefined(value) ? value : null;

    [GeneratedRegex("%([A-Za-z][A-Za-z0-9]*)")]
    private static partial Regex VariableName();
}
