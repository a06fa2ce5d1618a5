using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Tests;

/// <summary>A small referral transaction, written from the FHIR R4 specification and not by the gateway's own mapping.</summary>
internal static class ReferralBundle
{
    public const string System = "https://ear-referral.example/identifier/resource";
    public const string PatientUrn = "urn:uuid:3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a01";
    public const string RequestUrn = "urn:uuid:3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a02";
    public const string TaskUrn = "urn:uuid:3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a03";

    public static JsonObject Of(string name) => Bundle(Patient(name), ServiceRequest(name), Task(name));

    public static JsonObject Bundle(params JsonNode[] entries) => new()
    {
        ["resourceType"] = "Bundle",
        ["type"] = "transaction",
        ["entry"] = new JsonArray(entries),
    };

    public static JsonObject Patient(string name) => Entry(PatientUrn, "Patient", $"{name}-patient", """
        { "name": [ { "family": "Ó Ceallaigh", "given": [ "Donnchadh" ] } ], "gender": "male", "birthDate": "1979-01-17" }
        """);

    public static JsonObject ServiceRequest(string name) => Entry(RequestUrn, "ServiceRequest", $"{name}-request", $$"""
        { "status": "active", "intent": "order", "priority": "asap", "subject": { "reference": "{{PatientUrn}}" },
          "text": { "status": "generated", "div": "<div xmlns=\"http://www.w3.org/1999/xhtml\"><a href=\"{{PatientUrn}}\">patient</a></div>" } }
        """);

    public static JsonObject Task(string name) => Entry(TaskUrn, "Task", $"{name}-task", $$"""
        { "status": "requested", "intent": "order", "focus": { "reference": "{{RequestUrn}}" }, "for": { "reference": "{{PatientUrn}}" },
          "authoredOn": "2026-03-31T14:28:00+01:00", "lastModified": "2026-03-31T14:28:00+01:00" }
        """);

    public static JsonObject Entry(string fullUrl, string type, string identifier, string body)
    {
        var resource = new JsonObject
        {
            ["resourceType"] = type,
            ["identifier"] = new JsonArray(new JsonObject { ["system"] = System, ["value"] = identifier }),
        };
        foreach (var (name, value) in JsonNode.Parse(body)!.AsObject())
        {
            resource[name] = value?.DeepClone();
        }

        return new JsonObject
        {
            ["fullUrl"] = fullUrl,
            ["resource"] = resource,
            ["request"] = new JsonObject
            {
                ["method"] = "POST",
                ["url"] = type,
                ["ifNoneExist"] = $"identifier={Uri.EscapeDataString($"{System}|{identifier}")}",
            },
        };
    }
}
