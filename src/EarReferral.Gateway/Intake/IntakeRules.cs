using System.Text.Json;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>What a document must be beyond the contract, because of what is stored already.</summary>
internal static class IntakeRules
{
    /// <summary>How far a clinic's clock may run ahead of ours.</summary>
    private static readonly TimeSpan ClockDifference = TimeSpan.FromMinutes(15);

    /// <summary>Problems of a document in its place in the history.</summary>
    /// <param name="encounter">The encounter as read, or null when it could not be.</param>
    /// <param name="current">The stored revision that it corrects, or null for a first post.</param>
    /// <param name="receivedAt">When it was received.</param>
    public static IEnumerable<EncounterProblem> Problems(ClinicEncounter? encounter, StoredEncounter? current, DateTimeOffset receivedAt)
    {
        if (encounter is null)
        {
            yield break;
        }

        if (encounter.Status == EncounterStatus.InProgress)
        {
            yield return IntakeProblems.NotFinished.At("/status");
        }

        if (encounter.EvaluationInstant > receivedAt + ClockDifference)
        {
            yield return IntakeProblems.DecisionInFuture.At("/evaluationInstant");
        }

        if (current is not null && PatientOf(current) != encounter.Patient.Id)
        {
            yield return IntakeProblems.OtherPatient.At("/patient/id");
        }

        if (current is not null && (encounter.Clinic.Id != current.ClinicId || encounter.EncounterId != current.ClinicEncounterId))
        {
            yield return IntakeProblems.OtherEncounter.At("/encounterId");
        }
    }

    private static string? PatientOf(StoredEncounter stored)
    {
        using var json = JsonDocument.Parse(stored.Raw);
        return json.RootElement.GetProperty("patient").GetProperty("id").GetString();
    }

    /// <summary>The clinic and encounter number of a document, as far as they can be read.</summary>
    public static (string? Clinic, string? Encounter) WhoAndWhich(byte[] document)
    {
        try
        {
            using var json = JsonDocument.Parse(document);
            var root = json.RootElement;
            return root.ValueKind == JsonValueKind.Object
                ? (Short(root, "clinic", "id"), Short(root, "encounterId"))
                : (null, null);
        }
        catch (JsonException)
        {
            return (null, null);
        }
    }

    private static string? Short(JsonElement element, params string[] path)
    {
        foreach (var step in path)
        {
            if (element.ValueKind != JsonValueKind.Object || !element.TryGetProperty(step, out element))
            {
                return null;
            }
        }

        // What stands there may be anything in a refused document: only what looks like an identifier is kept.
        return element.ValueKind == JsonValueKind.String && element.GetString() is { Length: > 0 and <= 64 } text && text.All(letter => char.IsAsciiLetterOrDigit(letter) || letter is '-' or '_' or '.' or '/')
            ? text
            : null;
    }
}
