using System.Net;

namespace EarReferral.Gateway.Configuration;

/// <summary>Addresses that the gateway listens on.</summary>
internal static class LoopbackUrl
{
    /// <summary>Says why a text is no address to listen on, or null when it is one.</summary>
    public static string? NoAddress(string url) =>
        !Uri.TryCreate(url, UriKind.Absolute, out var uri) || uri.Scheme is not ("http" or "https") || url.Contains(';', StringComparison.Ordinal)
            ? $"'{url}' is not one http or https address."
            : null;

    /// <summary>Says why an address is refused, or null when it is a plain loopback address.</summary>
    public static string? Refusal(string url)
    {
        if (NoAddress(url) is { } refusal)
        {
            return refusal;
        }

        var uri = new Uri(url);
        var isLoopback = uri.Host == "localhost" || (IPAddress.TryParse(uri.Host.Trim('[', ']'), out var address) && IPAddress.IsLoopback(address));
        return isLoopback
            ? null
            : $"'{url}' can be reached from other machines. Where callers are not asked who they are, only loopback addresses such as http://127.0.0.1:5080 are served.";
    }
}
