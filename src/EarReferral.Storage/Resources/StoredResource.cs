using Hl7.Fhir.Model;

namespace EarReferral.Storage.Resources;

/// <summary>One version of a resource as FHIR JSON, with meta.versionId and meta.lastUpdated in it.</summary>
/// <param name="Type">FHIR type.</param>
/// <param name="Id">Logical id.</param>
/// <param name="Version">Version number, from 1.</param>
/// <param name="LastUpdated">When this version was stored.</param>
/// <param name="PatientKey">Patient it is about, where it is about one; for audit.</param>
/// <param name="Json">FHIR JSON.</param>
public sealed record StoredResource(string Type, string Id, int Version, DateTimeOffset LastUpdated, Guid? PatientKey, string Json)
{
    /// <summary>The resource as an object, a new one each time.</summary>
    public Resource Parse() => ResourceJson.Parse(Json);
}
