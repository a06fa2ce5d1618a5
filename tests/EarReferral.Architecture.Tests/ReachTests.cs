using System.Reflection;
using EarReferral.Storage;

namespace EarReferral.Architecture.Tests;

public sealed class ReachTests
{
    /// <summary>Reads that return no patient's data, each with the reason.</summary>
    private static readonly Dictionary<string, string> Exempt = new()
    {
        ["DestinationStore.FindAsync"] = "State of a receiving system: paused or not, breaker. No patient's data.",
    };

    [Fact]
    public void EveryStorageRead_TakesAReach()
    {
        string[] verbs = ["Find", "List", "Read", "Search", "History", "Timeline", "Attempts", "Conflicts", "Depth", "Quarantined"];
        var unbounded = typeof(Reach).Assembly.GetExportedTypes()
            .SelectMany(type => type.GetMethods(BindingFlags.Public | BindingFlags.Instance | BindingFlags.DeclaredOnly))
            .Where(method => method.Name.EndsWith("Async", StringComparison.Ordinal))
            .Where(method => verbs.Any(verb => method.Name.StartsWith(verb, StringComparison.Ordinal)))
            .Where(method => !Exempt.ContainsKey($"{method.DeclaringType!.Name}.{method.Name}"))
            .Where(method => !typeof(Reach).IsAssignableFrom(method.GetParameters().FirstOrDefault()?.ParameterType))
            .Select(method => $"{method.DeclaringType!.Name}.{method.Name}");

        Assert.Empty(unbounded);
    }
}
