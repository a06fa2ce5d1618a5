using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Transactions;

/// <summary>An entry of a transaction whose form was checked.</summary>
/// <param name="Index">Its place in the Bundle, from 0.</param>
/// <param name="FullUrl">Its handle in the Bundle.</param>
/// <param name="Type">Type of the resource.</param>
/// <param name="Resource">The resource as sent.</param>
/// <param name="Condition">Query that names what may be there already; null for a plain create.</param>
/// <param name="Updates">True for a conditional update, false for a create.</param>
internal sealed record TransactionEntry(int Index, string FullUrl, string Type, JsonObject Resource, string? Condition, bool Updates)
{
    public string Path => $"Bundle.entry[{Index}]";
}
