using System.Reflection;

namespace EarReferral.Gateway;

/// <summary>Which program this is.</summary>
internal static class SoftwareVersion
{
    /// <summary>Version of the build, with the commit where the build knew it.</summary>
    public static string Text { get; } = typeof(SoftwareVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()!.InformationalVersion;
}
