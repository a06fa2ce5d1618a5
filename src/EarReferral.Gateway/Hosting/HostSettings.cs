namespace EarReferral.Gateway.Hosting;

/// <summary>What a verb decides about the host before configuration is read.</summary>
/// <param name="Url">Loopback address to listen on.</param>
/// <param name="DataFolder">Folder that keeps the state.</param>
/// <param name="Configuration">Settings that the verb sets itself, by configuration key.</param>
internal sealed record HostSettings(string Url, string DataFolder, IReadOnlyDictionary<string, string?> Configuration)
{
    /// <summary>Settings without any configuration of the verb's own.</summary>
    public HostSettings(string url, string dataFolder, KeyValuePair<string, string?>[] configuration)
        : this(url, dataFolder, configuration.ToDictionary())
    {
    }
}
