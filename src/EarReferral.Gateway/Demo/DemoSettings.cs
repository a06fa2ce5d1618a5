namespace EarReferral.Gateway.Demo;

/// <summary>What the command line says about a demo run.</summary>
/// <param name="Url">Loopback address of the gateway; the stand-in ENT receiver takes the next port.</param>
/// <param name="DataFolder">Folder that keeps the state of both.</param>
/// <param name="Once">Stop after the run instead of serving on.</param>
/// <param name="AsJson">Print the result as JSON.</param>
internal sealed record DemoSettings(string Url, string DataFolder, bool Once, bool AsJson)
{
    /// <summary>Address of the stand-in ENT receiver.</summary>
    public string SandboxUrl
    {
        get
        {
            var gateway = new UriBuilder(Url);
            gateway.Port++;
            return gateway.Uri.GetLeftPart(UriPartial.Authority);
        }
    }
}
