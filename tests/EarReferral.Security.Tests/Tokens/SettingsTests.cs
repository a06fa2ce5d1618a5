using EarReferral.Gateway.Security;

namespace EarReferral.Security.Tests.Tokens;

/// <summary>What must not start. Source: the requirement itself; file modes after POSIX.</summary>
public sealed class SettingsTests : IDisposable
{
    private static readonly Uri Public = new("https://gateway.example/");
    private readonly string folder = Directory.CreateTempSubdirectory("ear-settings-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void CompleteProductionSettings_AreTaken() => Assert.Empty(Refusals(Complete()));

    [Fact]
    public void ProductionRefusesACallerThatNobodyAsked() => Assert.Single(Refusals(Complete(settings => settings.LocalCaller = true)));

    [Fact]
    public void ProductionRefusesDemoClients() =>
        Assert.Single(Refusals(Complete(settings => settings.Clients["demo"] = new ClientOptions { Demo = true })));

    [Fact]
    public void ProductionRefusesHttpWithoutAProxy_AndTakesItBehindOne()
    {
        Assert.Single(SecuritySettings.Refusals(Complete(), "http://0.0.0.0:80", Public, isDevelopment: false));
        Assert.Empty(SecuritySettings.Refusals(Complete(settings => settings.BehindTlsProxy = true), "http://0.0.0.0:80", Public, isDevelopment: false));
    }

    [Fact]
    public void ProductionRefusesAPublicAddressWithoutTls() =>
        Assert.Single(SecuritySettings.Refusals(Complete(), "https://0.0.0.0", new Uri("http://gateway.example"), isDevelopment: false));

    [Fact]
    public void ProductionRefusesAMissingKey() => Assert.Single(Refusals(Complete(settings => settings.SigningKeyFile = null)));

    [Theory]
    [InlineData(UnixFileMode.GroupRead)]
    [InlineData(UnixFileMode.OtherRead)]
    [InlineData(UnixFileMode.GroupWrite)]
    [InlineData(UnixFileMode.OtherWrite)]
    public void ProductionRefusesAKeyThatOthersReach(UnixFileMode more)
    {
        var settings = Complete();
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(settings.SigningKeyFile!, UnixFileMode.UserRead | UnixFileMode.UserWrite | more);
        }

        Assert.Single(Refusals(settings));
    }

    [Fact]
    public void LocalCallerIsForLoopbackInDevelopmentOnly()
    {
        var local = Complete(settings => settings.LocalCaller = true);

        Assert.Empty(SecuritySettings.Refusals(local, "http://127.0.0.1:5080", new Uri("http://127.0.0.1:5080"), isDevelopment: true));
        Assert.NotEmpty(SecuritySettings.Refusals(local, "http://0.0.0.0:5080", new Uri("http://127.0.0.1:5080"), isDevelopment: true));
    }

    private static IReadOnlyList<string> Refusals(SecurityOptions settings) => SecuritySettings.Refusals(settings, "https://0.0.0.0", Public, isDevelopment: false);

    private SecurityOptions Complete(Action<SecurityOptions>? change = null)
    {
        var settings = new SecurityOptions { SigningKeyFile = Path.Combine(folder, $"{Guid.NewGuid()}.pem") };
        KeyFiles.Make(settings.SigningKeyFile);
        change?.Invoke(settings);
        return settings;
    }
}
