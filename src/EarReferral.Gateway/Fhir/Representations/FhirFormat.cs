namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>Forms in which a resource is written.</summary>
internal enum FhirFormat
{
    Json,
    Xml,
}
