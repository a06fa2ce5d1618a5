using System.Net;

namespace EarReferral.Gateway.Configuration;

/// <summary>Keeps the gateway on this machine until callers are authenticated.</summary>
internal static class LoopbackUrl
{
    /// <summary>Says why an address is refused, or null when it is a plain loopback address.</summary>
    public static string? Refusal(string url)
    {
        if (!Uri.TryCreate(url, UriKind.Absolute, out var uri) || uri.Scheme is not ("http" or "https") || url.Contains(';', StringComparison.Ordinal))
        {
            return $"'{url}' is not one http or https address.";
        }

        var isLoopback = uri.Host == "localhost" || (IPAddress.TryParse(uri.Host.Trim('[', ']'), out var address) && IPAddress.IsLoopback(address));
        return isLoopback
            ? null
            : $"'{url}' can be reached from other machines. Callers are not authenticated yet, so only loopback addresses such as http://127.0.0.1:5080 are served.";
    }
}
