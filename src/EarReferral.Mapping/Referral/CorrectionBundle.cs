using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;

namespace EarReferral.Mapping.Referral;

/// <summary>
/// The transaction that brings a correction to a receiver which has, or may have, an earlier one. Made from both as bytes, so that it
/// speaks of exactly what was sent. It can be sent twice without harm, and it is right whether or not the earlier one arrived.
/// </summary>
/// <remarks>
/// People and organisations stay conditional creates: the receiver's own directory is not ours to change. So does the Task, whose
/// status belongs to the receiver (Clinical Order Workflows 1.0, core concepts: it is shared, the request is the placer's alone).
/// </remarks>
public static class CorrectionBundle
{
    private const string Urn = "urn:uuid:";

    private static readonly JsonSerializerOptions Json = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };
    private static readonly string[] People = ["Patient", "Practitioner", "PractitionerRole", "Organization"];

    /// <summary>Writes that a referral is not asked for any more, and asks the receiver to stop what it has begun.</summary>
    /// <param name="earlier">What was sent, or is the newest correction of it.</param>
    /// <param name="inError">True when the whole visit was entered in error, false when only the referral is taken back.</param>
    /// <param name="updates">False for a receiver that only creates: it gets the abort Task alone.</param>
    /// <param name="at">When it was taken back.</param>
    public static byte[] Withdrawal(ReadOnlyMemory<byte> earlier, bool inError, bool updates, DateTimeOffset at)
    {
        var bundle = Parse(earlier);
        var abort = Abort(bundle, at, inError ? "The visit was entered in error." : "A correction of the visit needs no referral.");
        if (!updates)
        {
            return Write([abort]);
        }

        var entries = new List<JsonObject>();
        foreach (var entry in Entries(bundle))
        {
            if (IsOurs(entry))
            {
                if (inError || Type(entry) == "ServiceRequest")
                {
                    Mark(entry, inError);
                }

                AsUpdate(entry);
            }

            entries.Add(entry);
        }

        return Write([.. entries, abort]);
    }

    /// <summary>
    /// Writes conditional updates (FHIR R4 RESTful API, conditional update): what the receiver stored gets a new version, and what is not
    /// said any more is marked as entered in error.
    /// </summary>
    /// <param name="earlier">What was sent, or is the newest correction of it.</param>
    /// <param name="corrected">The referral as it is now, as it would be sent the first time.</param>
    public static byte[] Update(ReadOnlyMemory<byte> earlier, ReadOnlyMemory<byte> corrected)
    {
        var entries = Entries(Parse(corrected)).ToList();
        var carried = entries.Select(FullUrl).ToHashSet(StringComparer.Ordinal);
        foreach (var entry in Entries(Parse(earlier)).Where(entry => !carried.Contains(FullUrl(entry))))
        {
            if (Type(entry) == "Task")
            {
                continue;
            }

            if (IsOurs(entry))
            {
                Mark(entry, inError: true);
            }

            entries.Add(entry);
        }

        foreach (var entry in entries.Where(IsOurs))
        {
            AsUpdate(entry);
        }

        return Write(entries);
    }

    /// <summary>
    /// Writes a new request with a Task and clinical resources of its own, which names the request that it replaces (FHIR R4
    /// ServiceRequest.replaces) and asks to stop the Task before it; for a receiver that only creates.
    /// </summary>
    /// <param name="earlier">What was sent, or is the newest correction of it.</param>
    /// <param name="corrected">The referral as it is now, as it would be sent the first time.</param>
    /// <param name="revision">Revision that it carries.</param>
    /// <param name="at">When it was corrected.</param>
    public static byte[] Replacement(ReadOnlyMemory<byte> earlier, ReadOnlyMemory<byte> corrected, int revision, DateTimeOffset at)
    {
        var before = Parse(earlier);
        var text = JsonSerializer.Serialize(Parse(corrected), Json);
        foreach (var entry in Entries(Parse(corrected)).Where(entry => Type(entry) == "Task" || IsOurs(entry)))
        {
            // Its own identity, or a receiver that only creates would take the corrected finding for the one that it has.
            var id = FullUrl(entry)[Urn.Length..];
            text = text.Replace(id, ReplacementId(id, revision), StringComparison.Ordinal);
        }

        var entries = Entries(JsonNode.Parse(text)!.AsObject()).ToList();
        var request = entries.Single(entry => Type(entry) == "ServiceRequest")["resource"]!.AsObject();
        var replaced = Entries(before).Single(entry => Type(entry) == "ServiceRequest")["resource"]!.AsObject();
        // What the one before replaced is named too: that one may never have arrived.
        request["replaces"] = new JsonArray([
            new JsonObject { ["type"] = "ServiceRequest", ["identifier"] = replaced["identifier"]![0]!.DeepClone() },
            .. replaced["replaces"] is JsonArray older ? older.Select(each => each!.DeepClone()) : [],
        ]);
        return Write([.. entries, Abort(before, at, "The request was replaced by a corrected one.")]);
    }

    /// <summary>Identity of a resource in the request that replaces an earlier one.</summary>
    public static string ReplacementId(string id, int revision) =>
        EncounterIdentity.NameBased(Guid.Parse(id), string.Create(CultureInfo.InvariantCulture, $"replacement/{revision}")).ToString();

    private static JsonObject Abort(JsonObject earlier, DateTimeOffset at, string reason)
    {
        var task = Entries(earlier).Last(entry => Type(entry) == "Task" && !IsAbort(entry))["resource"]!.AsObject();
        var stopped = task["identifier"]![0]!;
        var id = EncounterIdentity.NameBased(Guid.Parse((string)stopped["value"]!), "abort").ToString();
        var instant = at.ToUniversalTime().ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);
        return new JsonObject
        {
            ["fullUrl"] = Urn + id,
            ["resource"] = new JsonObject
            {
                ["resourceType"] = "Task",
                ["identifier"] = new JsonArray(new JsonObject { ["system"] = Canonicals.ResourceIdentifier, ["value"] = id }),
                ["status"] = "requested",
                ["intent"] = "order",
                ["code"] = new JsonObject { ["coding"] = new JsonArray(new JsonObject { ["system"] = "http://hl7.org/fhir/CodeSystem/task-code", ["code"] = "abort" }) },
                // By identifier: what the receiver calls it, or whether it has it, is not known here.
                ["focus"] = new JsonObject { ["type"] = "Task", ["identifier"] = stopped.DeepClone() },
                ["authoredOn"] = instant,
                ["lastModified"] = instant,
                ["reasonCode"] = new JsonObject { ["text"] = reason },
            },
            ["request"] = new JsonObject { ["method"] = "POST", ["url"] = "Task", ["ifNoneExist"] = ReferralBundle.IfNoneExist(id) },
        };
    }

    /// <summary>Marks a resource as no longer true, in the element in which its type says so.</summary>
    private static void Mark(JsonObject entry, bool inError)
    {
        var resource = entry["resource"]!.AsObject();
        switch (Type(entry))
        {
            case "ServiceRequest":
                resource["status"] = inError ? "entered-in-error" : "revoked";
                break;
            case "Condition":
                // Invariant con-5 of FHIR R4: no clinical status on what was entered in error.
                resource.Remove("clinicalStatus");
                resource["verificationStatus"] = new JsonObject
                {
                    ["coding"] = new JsonArray(new JsonObject { ["system"] = "http://terminology.hl7.org/CodeSystem/condition-ver-status", ["code"] = "entered-in-error" }),
                };
                break;
            default:
                resource["status"] = "entered-in-error";
                break;
        }
    }

    private static void AsUpdate(JsonObject entry)
    {
        var request = entry["request"]!.AsObject();
        if ((string?)request["ifNoneExist"] is { } condition)
        {
            request["method"] = "PUT";
            request["url"] = $"{Type(entry)}?{condition}";
            request.Remove("ifNoneExist");
        }
    }

    private static bool IsOurs(JsonObject entry) => Type(entry) != "Task" && !People.Contains(Type(entry));

    private static bool IsAbort(JsonObject entry) => (string?)entry["resource"]!["code"]?["coding"]?[0]?["code"] == "abort";

    private static JsonObject Parse(ReadOnlyMemory<byte> bundle) => JsonNode.Parse(bundle.Span)!.AsObject();

    private static IEnumerable<JsonObject> Entries(JsonObject bundle) => bundle["entry"]!.AsArray().Select(entry => entry!.DeepClone().AsObject());

    private static string Type(JsonObject entry) => (string)entry["resource"]!["resourceType"]!;

    private static string FullUrl(JsonObject entry) => (string)entry["fullUrl"]!;

    private static byte[] Write(IEnumerable<JsonObject> entries) => JsonSerializer.SerializeToUtf8Bytes(
        new JsonObject { ["resourceType"] = "Bundle", ["type"] = "transaction", ["entry"] = new JsonArray([.. entries.DistinctBy(FullUrl)]) }, Json);
}
