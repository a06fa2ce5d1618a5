using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.Json.Serialization;

namespace EarReferral.Encounters.Reading;

/// <summary>What stands in for a required member of a refused document; none of it says that something is normal.</summary>
/// <param name="received">Stands in for the decision instant when nothing in the document does.</param>
internal sealed class Placeholders(DateTimeOffset? received)
{
    private const string Unreadable = "unreadable";

    /// <summary>The placeholder of a member, or null when its holder is of no use without it.</summary>
    public JsonNode? For(IReadOnlyList<string> path, JsonObject tree) => path switch
    {
        ["contractVersion"] => "1.0",
        ["encounterId"] or ["clinic" or "practitioner" or "patient", "id"] => Unreadable,
        ["clinic", "name"] or ["patient" or "practitioner", "name", "family"] => Unreadable,
        ["revision"] => 1,
        ["status"] => "finished",
        ["evaluationInstant"] or ["period", "start"] => Instant(tree),
        ["clinicTimeZone"] => "Etc/UTC",
        ["clinic" or "practitioner" or "period" or "patient" or "consent"] or ["patient" or "practitioner", "name"] => new JsonObject(),
        ["practitioner", "role"] => "other",

        // An age that quiets no rule made for adults of a certain age; the oldest year that the contract can write.
        ["patient", "birthDate"] => "1900-01-01",
        ["patient", "gender"] => "unknown",
        ["consent", "treatment"] => "notAsked",
        ["ears"] => new JsonArray(),

        // Losing the findings of an ear is worse than an unsure side in a result that nobody is shown.
        ["ears", var index, "side"] => OtherSide(index, tree),
        ["ears", _, "before"] => new JsonObject(),
        ["ears", _, "before" or "after", "drum"] => new JsonObject(),
        ["ears", _, "before" or "after", "drum", "visualised"] => "not",
        _ => null,
    };

    private string? Instant(JsonObject tree)
    {
        var period = tree["period"] as JsonObject;
        JsonNode?[] candidates = [tree["evaluationInstant"], period?["end"], period?["start"]];
        return candidates.OfType<JsonValue>()
            .Where(value => value.TryGetValue<DateTimeOffset>(out _))
            .Select(value => value.GetValue<DateTimeOffset>())
            .Cast<DateTimeOffset?>()
            .Append(received)
            .FirstOrDefault(instant => instant is not null)
            ?.ToString("yyyy-MM-dd'T'HH:mm:ss.fffffffK", CultureInfo.InvariantCulture);
    }

    // Null when both sides are spoken for: a guess must not stand beside, or in place of, what was said.
    private static string? OtherSide(string index, JsonObject tree)
    {
        var ears = tree["ears"] as JsonArray ?? [];
        var taken = ears.Where((_, place) => place.ToString(CultureInfo.InvariantCulture) != index).OfType<JsonObject>()
            .Select(ear => ear["side"] is JsonValue side && side.TryGetValue<string>(out var text) ? text : null)
            .ToHashSet(StringComparer.Ordinal);
        return !taken.Contains("right") ? "right" : !taken.Contains("left") ? "left" : null;
    }
}

/// <summary>Writes a document tree back to JSON without reflection.</summary>
[JsonSerializable(typeof(JsonObject))]
internal sealed partial class NodeJson : JsonSerializerContext;
