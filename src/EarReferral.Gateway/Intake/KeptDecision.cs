using System.Text.Json;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Intake;

/// <summary>The triage decision as it is kept with an encounter.</summary>
internal static class KeptDecision
{
    /// <summary>The decision, or null where none is kept.</summary>
    public static TriageDecision? Of(StoredEncounter stored) =>
        stored.Decision.Length <= 2 ? null : JsonSerializer.Deserialize<TriageDecision>(stored.Decision.Span, JsonSerializerOptions.Web);
}
