using Firely.Fhir.Validation;
using Firely.Fhir.Validation.Compilation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Specification.Source;
using Hl7.Fhir.Specification.Terminology;

namespace EarReferral.Validation.Engine;

/// <summary>The FHIR validation engine as its library makes it, set up so that what it cannot check comes out as an error. Its verdict is the one that counts.</summary>
internal sealed class StockEngine
{
    // UK Core owns these definitions, so they are not copied here; ear-pat-3 and ear-pat-4 check what they hold. Any other extension without a definition could not be checked and is an error.
    private static readonly HashSet<string> NationalExtensions = new(StringComparer.Ordinal)
    {
        "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-NHSNumberVerificationStatus",
        "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-NHSNumberUnavailableReason",
        "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-PriorityReason",
    };

    private readonly Validator _validator;
    private readonly Lazy<StockEngine> _remembering;

    public StockEngine(ProfileSet profiles)
    {
        var required = profiles.Definitions.OfType<StructureDefinition>()
            .SelectMany(definition => definition.Snapshot!.Element)
            .Where(element => element.Binding is { Strength: BindingStrength.Required, ValueSet: not null })
            .Select(element => WithoutVersion(element.Binding!.ValueSet!))
            .ToHashSet(StringComparer.Ordinal);
        var resolver = new CachedResolver(new InMemoryResourceResolver(profiles.Definitions));
        var settings = new ValidationSettings
        {
            FollowExtensionUrl = (_, url) => url is not null && NationalExtensions.Contains((string)url) ? ExtensionUrlHandling.DontResolve : ExtensionUrlHandling.ErrorIfMissing,

            // A value set that cannot be expanded offline stops a required binding; elsewhere it is reported and passed on.
            HandleValidateCodeServiceFailure = (code, _) => code.Url?.Value is { } url && !required.Contains(WithoutVersion(url))
                ? TerminologyServiceExceptionResult.Warning
                : TerminologyServiceExceptionResult.Error,
        };
        var terminology = LocalTerminologyService.CreateDefaultForCore(resolver);
#pragma warning disable ExperimentalApi // As the validator makes it when none is handed in; made here so that the other engine need not compile every profile again.
        var schemas = StructureDefinitionToElementSchemaResolver.CreatedCached(resolver);
#pragma warning restore ExperimentalApi
        _validator = new Validator(resolver, terminology, null, settings, schemas);
        _remembering = new Lazy<StockEngine>(() => new StockEngine(new Validator(resolver, terminology, null, settings, new RememberingSchemas(schemas, ListedCodes.Of(profiles.Definitions)))));
    }

    private StockEngine(Validator validator)
    {
        _validator = validator;
        _remembering = new Lazy<StockEngine>(this);
    }

    /// <summary>The same engine, except that it remembers which small elements it has found clean.</summary>
    public StockEngine Remembering => _remembering.Value;

    /// <summary>Judges one resource against one profile.</summary>
    /// <param name="resource">The resource; not changed.</param>
    /// <param name="profile">Canonical URL of the profile.</param>
    /// <param name="place">FHIRPath of the resource in what was handed over, such as <c>Bundle.entry[3].resource</c>.</param>
    public IReadOnlyList<ValidationIssue> Check(Resource resource, string profile, string place)
    {
        OperationOutcome outcome;
        try
        {
            outcome = _validator.Validate(resource, profile);
        }
#pragma warning disable CA1031 // Whatever stops the engine means that the resource was not checked, and that is an issue to report, not a fault of the caller.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            return [new ValidationIssue(IssueSeverity.Error, "exception", place, "engine-stopped", $"Could not be checked: the engine stopped with {failure.GetType().Name}.")];
        }

        return [.. outcome.Issue.Select(issue => EngineIssue.Translate(issue, place)).Distinct()];
    }

    private static string WithoutVersion(string canonical) => canonical.Split('|')[0];
}
