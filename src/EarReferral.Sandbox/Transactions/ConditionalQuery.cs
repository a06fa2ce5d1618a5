using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Transactions;

/// <summary>The query of <c>ifNoneExist</c> or of a conditional reference; <c>identifier</c> is the one parameter served.</summary>
internal static class ConditionalQuery
{
    public static IdentifierToken? Parse(string query)
    {
        const string Name = "identifier=";
        return query.StartsWith(Name, StringComparison.Ordinal) && !query.Contains('&', StringComparison.Ordinal)
            ? IdentifierToken.Parse(Uri.UnescapeDataString(query[Name.Length..].Replace('+', ' ')))
            : null;
    }
}
