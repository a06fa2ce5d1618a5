using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>Gives every resource its id, its identifier and its profile, in one place.</summary>
internal static class ResourceStamp
{
    public static Organization OrganizationByOds(string odsCode, string name, EncounterIdentity identity)
    {
        // ODS codes compare without regard to case, so the id is made from the upper-case form.
        var code = odsCode.ToUpperInvariant();
        var organization = Stamp(new Organization { Name = name, Active = true }, EncounterIdentity.NameBased(identity.Clinic, $"organization/ods/{code}").ToString(), "ear-organization");
        organization.Identifier = [Own(organization), new Identifier(Canonicals.OdsCode, code)];
        return organization;
    }

    public static T Stamp<T>(T resource, string id, string profile)
        where T : DomainResource
    {
        resource.Id = id;
        resource.Meta = new Meta { Profile = [Canonicals.Structure(profile)] };
        return resource;
    }

    public static Identifier Own(Resource resource) => new(Canonicals.ResourceIdentifier, resource.Id!);

    public static ResourceReference To(Resource resource) => new($"{resource.TypeName}/{resource.Id}");

    public static FhirDateTime At(DateTimeOffset instant) => new(Iso(instant));

    /// <summary>A period; its end stays open when unknown.</summary>
    public static Period Between(DateTimeOffset start, DateTimeOffset? end) => new() { Start = Iso(start), End = end is { } known ? Iso(known) : null };

    /// <summary>Keeps the offset that was posted, because it says what the clock on the clinic's wall showed.</summary>
    public static string Iso(DateTimeOffset instant) => instant.ToString(
        instant.Ticks % TimeSpan.TicksPerSecond == 0 ? "yyyy-MM-dd'T'HH:mm:sszzz" : "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFzzz",
        CultureInfo.InvariantCulture);

    public static string Key(EarSide side) => side switch { EarSide.Right => "right", EarSide.Left => "left" };
}
