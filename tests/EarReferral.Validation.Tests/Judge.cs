using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Validation.Tests;

/// <summary>One validator for all tests, and fresh copies of instances that it accepts.</summary>
internal static class Judge
{
    private static readonly string BundleJson = File.ReadAllText(Repository.At("tests", "EarReferral.Validation.Tests", "Instances", "referral-bundle.json"));

    public static ProfileSet Profiles { get; } = ProfileSet.Embedded();

    public static ReferralValidator Validator { get; } = new(Profiles);

    /// <summary>A referral bundle as the mapping made it, cut down to one finding of each kind.</summary>
    public static Bundle Bundle() => (Bundle)new FhirJsonDeserializer().DeserializeResource(BundleJson);

    /// <summary>The first resource of a type in the bundle, or an instance of a type that no transaction carries.</summary>
    public static TResource First<TResource>(Func<TResource, bool>? where = null)
        where TResource : Resource => Unsent.Of(typeof(TResource)) as TResource ?? In(Bundle(), where);

    public static TResource In<TResource>(Bundle bundle, Func<TResource, bool>? where = null)
        where TResource : Resource => bundle.Entry.Select(entry => entry.Resource).OfType<TResource>().First(where ?? (_ => true));

    public static Observation Finding(string code) => First<Observation>(observation => observation.Code!.Coding.Any(coding => coding.Code == code));
}
