using System.Text.Json.Nodes;
using EarReferral.Sandbox.Http;

namespace EarReferral.Sandbox.Answering;

/// <summary>What an answer changes in a Task.</summary>
internal static class TaskAnswer
{
    private const string BusinessStatus = "https://ear-referral.example/fhir/CodeSystem/referral-business-status";

    /// <summary>Whether the receiver may still say this; a Task that was cancelled or has moved on is left alone.</summary>
    public static bool MayFollow(string? status, AnswerStep step) => step switch
    {
        AnswerStep.Received => status is "requested",
        AnswerStep.Accepted => status is "requested" or "received",
    };

    public static JsonObject Apply(JsonObject task, AnswerStep step, DateTimeOffset now)
    {
        var (status, code, display) = step switch
        {
            AnswerStep.Received => ("received", "under-triage", "Under triage"),
            AnswerStep.Accepted => ("accepted", "accepted", "Accepted"),
        };
        var changed = task.DeepClone().AsObject();
        changed["status"] = status;
        changed["businessStatus"] = new JsonObject
        {
            ["coding"] = new JsonArray(new JsonObject { ["system"] = BusinessStatus, ["code"] = code, ["display"] = display }),
        };
        changed["lastModified"] = FhirJson.Instant(now);
        return changed;
    }
}
