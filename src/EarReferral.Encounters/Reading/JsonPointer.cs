namespace EarReferral.Encounters.Reading;

/// <summary>Builds JSON Pointers (RFC 6901).</summary>
internal static class JsonPointer
{
    /// <summary>Longest member name that a pointer repeats; a longer one is pointed at through its parent.</summary>
    public const int LongestName = 64;

    public static string Member(string parent, string name) => name.Length > LongestName ? parent : $"{parent}/{Escape(name)}";

    public static string Escape(string name) => name.Contains('~', StringComparison.Ordinal) || name.Contains('/', StringComparison.Ordinal)
        ? name.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal)
        : name;

    public static IReadOnlyList<string> Split(string pointer) => pointer.Length == 0
        ? []
        : [.. pointer[1..].Split('/').Select(part => part.Replace("~1", "/", StringComparison.Ordinal).Replace("~0", "~", StringComparison.Ordinal))];
}
