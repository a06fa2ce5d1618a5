using EarReferral.Validation.BundleRules;
using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation;

/// <summary>Judges resources and referral bundles against a <see cref="ProfileSet"/>. Safe to use from several threads; create one and keep it.</summary>
public sealed class ReferralValidator
{
    private const string BaseBundle = "http://hl7.org/fhir/StructureDefinition/Bundle";

    private readonly ProfileSet _profiles;
    private readonly ProfileEngine _engine;

    /// <summary>A validator over the given definitions; profiles are compiled on first use or by <see cref="WarmUp"/>.</summary>
    public ReferralValidator(ProfileSet profiles)
    {
        ArgumentNullException.ThrowIfNull(profiles);
        _profiles = profiles;
        _engine = new ProfileEngine(profiles);
    }

    /// <summary>Judges an outgoing transaction or a document: the bundle itself, each entry against the profile it claims, then what no profile can say.</summary>
    public ValidationReport Validate(Bundle bundle)
    {
        ArgumentNullException.ThrowIfNull(bundle);
        var record = LinkedRecord.Of(bundle);
        return new ValidationReport(
        [
            .. _engine.Check(Hollow(bundle), BaseBundle, "Bundle"),
            .. bundle.Type == Bundle.BundleType.Document ? [] : TransactionRule.Check(bundle),
            .. CheckRecord(record, isWhole: bundle.Type != Bundle.BundleType.Document),
        ]);
    }

    /// <summary>Judges one resource against the profile it claims; a bundle goes to <see cref="Validate(Bundle)"/>.</summary>
    public ValidationReport Validate(Resource resource)
    {
        ArgumentNullException.ThrowIfNull(resource);
        return resource is Bundle bundle ? Validate(bundle) : new ValidationReport([.. CheckResource(new PlacedResource(resource.TypeName, resource))]);
    }

    /// <summary>
    /// Judges the resources of one record that refer to each other as <c>Type/id</c>, as they are before a bundle is made.
    /// Locations read as if they were the entries of a Bundle in this order.
    /// </summary>
    public ValidationReport Validate(IReadOnlyList<Resource> record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return new ValidationReport([.. CheckRecord(LinkedRecord.Of(record), isWhole: true)]);
    }

    /// <summary>Compiles every profile of ours, so that the first request does not wait for it.</summary>
    public void WarmUp()
    {
        foreach (var profile in _profiles.Profiles.Where(profile => profile.Kind == StructureDefinition.StructureDefinitionKind.Resource))
        {
            var empty = (Resource)Activator.CreateInstance(ModelInfo.GetTypeForFhirType(profile.Type!)!)!;
            _ = _engine.Check(empty, profile.Url!, profile.Type!);
        }

        _ = _engine.Check(new Bundle(), BaseBundle, "Bundle");
    }

    // A document carries what its Composition reaches: a referral it mentions may come without its task.
    private IEnumerable<ValidationIssue> CheckRecord(LinkedRecord record, bool isWhole) =>
    [
        // Each resource is judged by itself, so several cores may share them; the order of the issues stays that of the record.
        .. record.Resources.AsParallel().AsOrdered().SelectMany(CheckResource),
        .. LinkRule.Check(record, _profiles),
        .. OnePatientRule.Check(record),
        .. SameSideRule.Check(record),
        .. isWhole ? ReferralTaskRule.Check(record) : [],
    ];

    private IEnumerable<ValidationIssue> CheckResource(PlacedResource placed) =>
        ClaimRule.Read(placed.Resource, placed.Place, _profiles) switch
        {
            ({ } profile, _) => _engine.Check(placed.Resource, profile, placed.Place),
            (null, { } issue) => [issue],
            _ => [],
        };

    // The entries are judged one by one against their profiles; here an empty resource stands in for each, so that the rules of the bundle itself (bdl-1 to bdl-12) see as many entries as there are.
    private static Bundle Hollow(Bundle bundle)
    {
        var hollow = new Bundle();
        foreach (var (name, value) in bundle.EnumerateElements().Where(element => element.Key != "entry"))
        {
            hollow[name] = value;
        }

        foreach (var (index, entry) in bundle.Entry.Index())
        {
            hollow.Entry.Add(new Bundle.EntryComponent
            {
                FullUrlElement = entry.FullUrlElement,
                Link = entry.Link,
                Search = entry.Search,
                Request = entry.Request,
                Response = entry.Response,
                Resource = entry.Resource is { } resource ? StandIn(resource, isFirstOfDocument: index == 0 && bundle.Type == Bundle.BundleType.Document) : null,
            });
        }

        return hollow;
    }

    // bdl-11 asks whether a document begins with a Composition, so one stands in for it that refers to nothing.
    private static Resource StandIn(Resource resource, bool isFirstOfDocument)
    {
        var meta = resource.Meta?.VersionId is { } version ? new Meta { VersionId = version } : null;
        return isFirstOfDocument && resource is Composition
            ? new Composition
            {
                Meta = meta,
                Status = CompositionStatus.Final,
                Type = new CodeableConcept { Text = "Stand-in" },
                Date = "2000-01-01",
                Author = [new ResourceReference { Display = "Stand-in" }],
                Title = "Stand-in",
            }
            : new Parameters { Meta = meta };
    }
}
