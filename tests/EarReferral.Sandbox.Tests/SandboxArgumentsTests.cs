using System.Net;
using System.Net.Sockets;

namespace EarReferral.Sandbox.Tests;

public sealed class SandboxArgumentsTests
{
    [Fact]
    public void Everything_named_on_the_command_line_is_taken()
    {
        var (options, problems) = SandboxArguments.Parse(
            ["--urls", "http://127.0.0.1:5091;http://[::1]:5091", "--data", "box", "--callback", "http://127.0.0.1:5080/fhir", "--acknowledge-after", "500ms", "--accept-after", "never"]);

        Assert.Empty(problems);
        Assert.Equal(2, options!.Urls.Count);
        Assert.Equal("box", options.DataFolder);
        Assert.Equal(TimeSpan.FromMilliseconds(500), options.AcknowledgeAfter);
        Assert.Null(options.AcceptAfter);
    }

    [Theory]
    [InlineData("--urls", "http://0.0.0.0:5090", "reachable from elsewhere")]
    [InlineData("--urls", "http://ent.example:5090", "reachable from elsewhere")]
    [InlineData("--urls", "nonsense", "not an address")]
    [InlineData("--callback", "ftp://127.0.0.1", "not http")]
    [InlineData("--accept-after", "soon", "not a duration")]
    [InlineData("--accept-after", "-1s", "not a duration")]
    [InlineData("--port", "5090", "not an option")]
    public void What_cannot_be_meant_is_named(string name, string value, string because)
    {
        var (options, problems) = SandboxArguments.Parse([name, value]);

        Assert.True(options is null, because);
        Assert.NotEmpty(problems);
    }

    [Fact]
    public async Task A_taken_port_ends_the_program_with_1()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        var folder = Directory.CreateTempSubdirectory("ear-sandbox-").FullName;
        var options = new SandboxOptions([new Uri($"http://127.0.0.1:{((IPEndPoint)taken.LocalEndpoint).Port}")], folder, null, null, null);

        Assert.Equal(1, await Program.RunAsync(options, TimeProvider.System));
        Directory.Delete(folder, recursive: true);
    }
}
