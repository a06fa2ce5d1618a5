using System.ComponentModel;
using System.Text.Json;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>Every version of the decision about one encounter.</summary>
/// <param name="Versions">Oldest first; the last one holds.</param>
internal sealed record DecisionHistory(IReadOnlyList<DecisionVersion> Versions)
{
    /// <summary>The versions that the revisions of an encounter carry.</summary>
    public static DecisionHistory Of(IReadOnlyList<StoredEncounter> revisions) => new([.. revisions.Select(DecisionVersion.Of)]);
}

/// <summary>One version, as its receipt gave it.</summary>
internal sealed record DecisionVersion(
    [property: Description("Revision of the encounter that carries it.")] int Revision,
    [property: Description("When the gateway took it.")] DateTimeOffset ReceivedAt,
    [property: Description("State of the receipt of then.")] string State,
    [property: Description("Why the one before was replaced; absent on the first.")] string? Why,
    [property: Description("Who answers for that; absent on the first.")] string? Person,
    [property: Description("The decision of the receipt of then; absent on a retraction, which decides nothing.")] JsonElement? Decision)
{
    /// <summary>The version that a revision carries.</summary>
    public static DecisionVersion Of(StoredEncounter revision)
    {
        using var document = JsonDocument.Parse(revision.Raw);
        using var receipt = JsonDocument.Parse(revision.Receipt);
        var (why, person) = revision.IsRetracted
            ? (Member(document.RootElement, "text"), Member(document.RootElement, "person"))
            : document.RootElement.TryGetProperty("supersedes", out var supersedes) ? (Member(supersedes, "reason"), Member(supersedes, "person")) : (null, null);
        return new DecisionVersion(
            revision.Revision,
            revision.ReceivedAt,
            revision.State,
            why,
            person,
            receipt.RootElement.TryGetProperty("decision", out var decision) ? decision.Clone() : null);
    }

    private static string? Member(JsonElement of, string name) => of.TryGetProperty(name, out var value) ? value.GetString() : null;
}
