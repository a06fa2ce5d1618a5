using System.Collections.Concurrent;
using Firely.Fhir.Validation;

namespace EarReferral.Validation.Engine;

#pragma warning disable ExperimentalApi // The only way into a compiled schema; the comparison with the stock engine notices when it changes.

/// <summary>The compiled schemas of the library, with their bindings and their checks of simple datatypes replaced by such as remember.</summary>
internal sealed class RememberingSchemas(IElementSchemaResolver stock, IReadOnlyDictionary<string, ListedCodes> listed) : IElementSchemaResolver
{
    // Some 64 bytes each; the codes and texts of a clinic's vocabulary in every place where they stand.
    private const int Remembered = 32768;

    // Datatypes that look at nothing outside themselves. A Reference looks at what is contained in the resource, an Extension at where it stands.
    private static readonly HashSet<string> SelfContained = new(
        new[]
        {
            "CodeableConcept", "Coding", "Identifier", "Meta", "Period", "Quantity", "HumanName", "ContactPoint", "Address", "string", "uri", "url", "canonical", "code", "dateTime", "date",
            "instant", "boolean", "decimal", "integer", "positiveInt", "unsignedInt", "markdown", "id",
        }.Select(type => $"http://hl7.org/fhir/StructureDefinition/{type}"),
        StringComparer.Ordinal);

    private readonly ConcurrentDictionary<string, ElementSchema?> _schemas = new(StringComparer.Ordinal);
    private readonly CleanMemory _clean = new(Remembered);
    private int _numbered;

    public ElementSchema? GetSchema(Canonical schemaUri) =>
        _schemas.GetOrAdd(schemaUri.ToString(), (_, uri) => stock.GetSchema(uri) is { } schema ? (ElementSchema)Children(schema) : null, schemaUri);

    private IAssertion Children(IAssertion assertion) =>
        assertion is IAssertionContainer container ? container.WithChildren((_, child) => Replacement(child)) : assertion;

    private IAssertion Replacement(IAssertion assertion) => assertion switch
    {
        BindingValidator binding => new RememberedBinding(binding, Interlocked.Increment(ref _numbered), _clean, listed.GetValueOrDefault(binding.ValueSetUri.ToString().Split('|')[0])),
        SchemaReferenceValidator type when SelfContained.Contains(type.SchemaUri.ToString()) => new RememberedDatatype(type, Interlocked.Increment(ref _numbered), _clean),
        _ => Children(assertion),
    };
}
