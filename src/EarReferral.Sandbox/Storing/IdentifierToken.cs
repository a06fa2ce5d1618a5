using System.Text.Json;

namespace EarReferral.Sandbox.Storing;

/// <summary>An identifier as a token search names it: <c>system|value</c>, <c>|value</c> without system, or <c>value</c> in any system (FHIR R4, search, token).</summary>
/// <param name="System">System; empty for an identifier without system, null for any.</param>
/// <param name="Value">Value.</param>
internal sealed record IdentifierToken(string? System, string Value)
{
    public static IdentifierToken? Parse(string text)
    {
        var bar = text.IndexOf('|', StringComparison.Ordinal);
        var token = bar < 0 ? new IdentifierToken(null, text) : new IdentifierToken(text[..bar], text[(bar + 1)..]);

        // A comma means "or"; a receiver that ignored it would match the wrong resource.
        return token.Value.Length == 0 || text.Contains(',', StringComparison.Ordinal) ? null : token;
    }

    public static IEnumerable<IdentifierToken> Of(JsonElement resource)
    {
        if (!resource.TryGetProperty("identifier", out var identifier))
        {
            yield break;
        }

        // Composition.identifier is a single element, elsewhere it is a list.
        JsonElement[] all = identifier.ValueKind == JsonValueKind.Array ? [.. identifier.EnumerateArray()] : [identifier];
        foreach (var one in all)
        {
            if (one.TryGetProperty("value", out var value))
            {
                yield return new IdentifierToken(one.TryGetProperty("system", out var system) ? system.GetString() : string.Empty, value.GetString()!);
            }
        }
    }

    public bool Matches(IdentifierToken held) => held.Value == Value && (System is null || held.System == System);

    public override string ToString() => System is null ? Value : $"{System}|{Value}";
}
