using EarReferral.Gateway.Configuration;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Security;

/// <summary>What the settings of a start must not be; the default is the safe one.</summary>
internal static class SecuritySettings
{
    /// <summary>Where the key is kept that a first start in Development makes.</summary>
    public static string DefaultKey(string dataFolder) => Path.Combine(dataFolder, "keys", "signing.pem");

    /// <summary>Everything that forbids the start.</summary>
    /// <param name="security">Section Security.</param>
    /// <param name="url">Address to listen on.</param>
    /// <param name="publicBaseUrl">Address that is handed out.</param>
    /// <param name="isDevelopment">Whether the environment is Development.</param>
    public static IReadOnlyList<string> Refusals(SecurityOptions security, string url, Uri publicBaseUrl, bool isDevelopment)
    {
        var refusals = new List<string>();
        var isLoopback = LoopbackUrl.Refusal(url) is null;
        if (security.LocalCaller && !(isDevelopment && isLoopback))
        {
            refusals.Add("Security:LocalCaller asks nobody who they are; it is for Development on a loopback address only.");
        }

        if (isDevelopment)
        {
            if (!isLoopback)
            {
                refusals.Add($"'{url}' can be reached from other machines; Development serves loopback addresses only.");
            }

            return refusals;
        }

        if (!url.StartsWith("https:", StringComparison.OrdinalIgnoreCase) && !security.BehindTlsProxy)
        {
            refusals.Add("Outside Development the gateway listens to https, or to http behind a proxy that ends TLS and says so by Security:BehindTlsProxy=true.");
        }

        if (publicBaseUrl.Scheme != Uri.UriSchemeHttps)
        {
            refusals.Add("Outside Development Gateway:PublicBaseUrl is an https address; tokens are meant for it.");
        }

        refusals.AddRange(security.Clients.Where(client => client.Value.Demo).Select(client => $"Security:Clients:{client.Key} is a demo client; its key was made by this program."));
        if (security.SigningKeyFile is not { } file)
        {
            refusals.Add("Outside Development Security:SigningKeyFile names the key that signs access tokens.");
        }
        else if (KeyFiles.Refusal(file) is { } refusal)
        {
            refusals.Add(refusal);
        }

        refusals.AddRange(security.Clients.Select(client => client.Value.KeysFile).OfType<string>().Where(IsWritable).Select(path => $"The key file {path} can be written by others than its owner."));
        return refusals;
    }

    /// <summary>Ends the start when anything forbids it.</summary>
    /// <exception cref="OptionsValidationException">Something forbids it.</exception>
    public static void Check(SecurityOptions security, string url, Uri publicBaseUrl, bool isDevelopment)
    {
        if (Refusals(security, url, publicBaseUrl, isDevelopment) is { Count: > 0 } refusals)
        {
            throw new OptionsValidationException(SecurityOptions.Section, typeof(SecurityOptions), refusals);
        }
    }

    private static bool IsWritable(string path) =>
        !OperatingSystem.IsWindows() && File.Exists(path) && (File.GetUnixFileMode(path) & (UnixFileMode.GroupWrite | UnixFileMode.OtherWrite)) != 0;
}
