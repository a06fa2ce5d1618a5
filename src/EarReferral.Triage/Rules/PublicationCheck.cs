using System.Text.Json;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Hl7.FhirPath;

namespace EarReferral.Triage.Rules;

/// <summary>Checks what the rule files promise to others and the engine itself never reads: sound FHIR, and variables whose expression is FHIRPath.</summary>
internal static class PublicationCheck
{
    private static readonly Lazy<JsonSerializerOptions> Fhir = new(() => new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector));

    public static IEnumerable<string> Run(IReadOnlyList<(string Name, byte[] Content)> files)
    {
        var compiler = new FhirPathCompiler();
        foreach (var (name, content) in files)
        {
            var (resource, problem) = Read(content);
            if (problem is not null)
            {
                yield return $"{name}: {problem}";
            }

            foreach (var parameter in (resource as Library)?.Parameter ?? [])
            {
                var declared = parameter.GetExtension(RuleVocabulary.Variable)?.GetExtension("expression")?.Value as Expression;
                if (Compile(compiler, declared?.Expression_ ?? "") is { } error)
                {
                    yield return $"{name}: the expression of '{parameter.Name}' is not FHIRPath: {error}";
                }
            }
        }
    }

    private static (Resource? Resource, string? Problem) Read(byte[] content)
    {
        try
        {
            return (JsonSerializer.Deserialize<Resource>(content, Fhir.Value), null);
        }
        catch (Exception error) when (error is JsonException or DeserializationFailedException)
        {
            return (null, error.Message);
        }
    }

    private static string? Compile(FhirPathCompiler compiler, string expression)
    {
        try
        {
            compiler.Compile(expression);
            return null;
        }
        catch (Exception error) when (error is FormatException or ArgumentException or InvalidOperationException)
        {
            return error.Message;
        }
    }
}
