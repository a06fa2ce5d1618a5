using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Transactions;

/// <summary>An entry of a transaction whose form was checked.</summary>
internal sealed record TransactionEntry(int Index, string FullUrl, string Type, JsonObject Resource, string? IfNoneExist)
{
    public string Path => $"Bundle.entry[{Index}]";
}
