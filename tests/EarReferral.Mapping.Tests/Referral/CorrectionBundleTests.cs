using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Mapping.Referral;

namespace EarReferral.Mapping.Tests.Referral;

/// <summary>FHIR R4 http.html (conditional update, transaction), task-code abort, invariant con-5.</summary>
public sealed class CorrectionBundleTests
{
    private const string Patient = "3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a01";
    private const string Request = "3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a02";
    private const string Task = "3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a03";
    private const string Kept = "3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a04";
    private const string Gone = "3f2a1f60-7c55-4bd5-9a0e-0d1c5b7b0a05";
    private static readonly DateTimeOffset At = new(2026, 3, 31, 15, 0, 0, TimeSpan.Zero);
    private static readonly byte[] First = Bundle(("Patient", Patient), ("ServiceRequest", Request), ("Task", Task), ("Observation", Kept), ("Condition", Gone));
    private static readonly byte[] Second = Bundle(("Patient", Patient), ("ServiceRequest", Request), ("Task", Task), ("Observation", Kept));

    [Fact]
    public void Update_changes_what_is_ours_and_leaves_people_and_the_Task()
    {
        var entries = Entries(CorrectionBundle.Update(First, Second));

        Assert.Equal(["POST", "PUT", "POST", "PUT", "PUT"], entries.Select(entry => (string)entry["request"]!["method"]!));
        Assert.Equal($"Observation?identifier=https://ear-referral.example/identifier/resource|{Kept}", (string)entries[3]["request"]!["url"]!);
        Assert.All(entries.Where(entry => (string)entry["request"]!["method"]! == "PUT"), entry => Assert.Null(entry["request"]!["ifNoneExist"]));
        var gone = entries[4]["resource"]!;
        Assert.Equal("entered-in-error", (string)gone["verificationStatus"]!["coding"]![0]!["code"]!);
        Assert.Null(gone["clinicalStatus"]);
    }

    [Fact]
    public void Update_of_an_update_still_says_what_the_first_one_marked() =>
        Assert.Equal(
            CorrectionBundle.Update(First, Second),
            CorrectionBundle.Update(CorrectionBundle.Update(First, Second), Second));

    [Fact]
    public void Replacement_has_identities_of_its_own_and_names_all_that_it_replaces()
    {
        var second = CorrectionBundle.Replacement(First, Second, 2, At);
        var third = CorrectionBundle.Replacement(second, Second, 3, At);

        var entries = Entries(third);
        var request = entries.Single(entry => (string)entry["resource"]!["resourceType"]! == "ServiceRequest")["resource"]!;
        Assert.Equal([CorrectionBundle.ReplacementId(Request, 2), Request], request["replaces"]!.AsArray().Select(each => (string)each!["identifier"]!["value"]!));
        Assert.Equal(CorrectionBundle.ReplacementId(Request, 3), (string)request["identifier"]![0]!["value"]!);
        Assert.Equal($"urn:uuid:{Patient}", (string)request["subject"]!["reference"]!);
        Assert.Contains(entries, entry => (string)entry["fullUrl"]! == $"urn:uuid:{Patient}");
        Assert.DoesNotContain(Kept, JsonSerializer.Serialize(entries), StringComparison.Ordinal);
        Assert.All(entries, entry => Assert.Equal("POST", (string)entry["request"]!["method"]!));
        var abort = entries[^1]["resource"]!;
        Assert.Equal(CorrectionBundle.ReplacementId(Task, 2), (string)abort["focus"]!["identifier"]!["value"]!);
    }

    [Theory]
    [InlineData(false, "revoked", "final")]
    [InlineData(true, "entered-in-error", "entered-in-error")]
    public void Withdrawal_marks_the_request_and_in_error_all_that_came_with_it(bool inError, string request, string observation)
    {
        var entries = Entries(CorrectionBundle.Withdrawal(First, inError, updates: true, At));

        Assert.Equal(request, (string)entries[1]["resource"]!["status"]!);
        Assert.Equal(observation, (string)entries[3]["resource"]!["status"]!);
        Assert.Equal(("abort", Task), ((string)entries[^1]["resource"]!["code"]!["coding"]![0]!["code"]!, (string)entries[^1]["resource"]!["focus"]!["identifier"]!["value"]!));
    }

    [Fact]
    public void Withdrawal_from_a_receiver_that_only_creates_is_the_abort_Task_alone() =>
        Assert.Equal(["Task"], Entries(CorrectionBundle.Withdrawal(First, inError: true, updates: false, At)).Select(entry => (string)entry["resource"]!["resourceType"]!));

    private static List<JsonNode> Entries(byte[] bundle) => [.. JsonNode.Parse(bundle)!["entry"]!.AsArray().Select(entry => entry!)];

    private static byte[] Bundle(params (string Type, string Id)[] resources) => JsonSerializer.SerializeToUtf8Bytes(new JsonObject
    {
        ["resourceType"] = "Bundle",
        ["type"] = "transaction",
        ["entry"] = new JsonArray([.. resources.Select(each => new JsonObject
        {
            ["fullUrl"] = $"urn:uuid:{each.Id}",
            ["resource"] = Resource(each.Type, each.Id),
            ["request"] = new JsonObject { ["method"] = "POST", ["url"] = each.Type, ["ifNoneExist"] = ReferralBundle.IfNoneExist(each.Id) },
        })]),
    });

    private static JsonObject Resource(string type, string id)
    {
        var resource = new JsonObject
        {
            ["resourceType"] = type,
            ["identifier"] = new JsonArray(new JsonObject { ["system"] = "https://ear-referral.example/identifier/resource", ["value"] = id }),
            ["status"] = type == "Observation" ? "final" : "active",
            ["subject"] = new JsonObject { ["reference"] = $"urn:uuid:{Patient}" },
        };
        if (type == "Condition")
        {
            resource["clinicalStatus"] = new JsonObject { ["text"] = "active" };
        }

        return resource;
    }
}
