namespace EarReferral.Gateway.Demo;

/// <summary>The settings that make a demo: one invented clinic, one invented ENT department, nothing from outside.</summary>
internal static class DemoConfiguration
{
    /// <summary>Settings for a run.</summary>
    public static Dictionary<string, string?> For(DemoSettings settings) => new(DemoClients.Register(settings.DataFolder))
    {
        [HostDefaults.EnvironmentKey] = Environments.Development,
        ["Security:LocalCaller"] = "true",
        ["Gateway:PublicBaseUrl"] = settings.Url,
        ["Gateway:AllowTestNhsNumbers"] = "true",
        ["Clinics:harbour-lane:Name"] = "Harbour Lane Ear Care",
        ["Clinics:harbour-lane:EntDestination"] = "westerquay-ent",
        ["Clinics:harbour-lane:Vocabulary"] = Path.Combine(AppContext.BaseDirectory, "examples", "vocabulary", "harbour-lane"),
        ["Delivery:Destinations:westerquay-ent:Name"] = "Westerquay General, ENT department",
        ["Delivery:Destinations:westerquay-ent:OdsCode"] = "WQG07",
        ["Delivery:Destinations:westerquay-ent:Phone"] = "01632 960 107",
        ["Delivery:Destinations:westerquay-ent:BaseUrl"] = $"{settings.SandboxUrl}/fhir",
    };
}
