using System.Net;
using EarReferral.Gateway.Security.People;
using EarReferral.Gateway.Tests.Referrals;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Pages.Tests;

/// <summary>Which role sees and does what; the pages alone, so no browser is needed.</summary>
public sealed class RoleTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Theory]
    [InlineData(PersonRole.Clinician, "referrals report rules story call")]
    [InlineData(PersonRole.ClinicalLead, "referrals operations report rules story call")]
    [InlineData(PersonRole.PracticeManager, "referrals operations report")]
    [InlineData(PersonRole.Operator, "referrals operations bench rules story hold")]
    [InlineData(PersonRole.Integrator, "bench rules")]
    public async Task EveryPage_IsForTheRolesThatItIsFor_AndForNobodyElse(string role, string allowed)
    {
        await using var gateway = new RunningGateway();
        await gateway.StartAsync(null, services => services.AddScoped<ISignedInPerson>(_ => new Somebody(role)));
        var (id, _) = await gateway.StoreAsync(RunningGateway.Unserved);
        var places = new Dictionary<string, string>
        {
            ["referrals"] = "/desk/referrals",
            ["operations"] = "/desk/operations",
            ["bench"] = "/desk/bench",
            ["rules"] = "/desk/rules",
            ["report"] = "/desk/report",
            ["story"] = $"/desk/referrals/{id}",
            ["call"] = $"/desk/referrals/{id}/call",
        };
        if (role == PersonRole.Operator)
        {
            places["hold"] = $"/desk/referrals/{id}/hold";
        }

        foreach (var (name, address) in places)
        {
            using var answer = await gateway.Client.GetAsync(new Uri(address, UriKind.Relative), Stop);
            var expected = allowed.Split(' ').Contains(name) ? HttpStatusCode.OK : HttpStatusCode.Forbidden;
            Assert.True(answer.StatusCode == expected, $"{role} at {name}: {answer.StatusCode}");
        }
    }

    [Fact]
    public async Task OperatorSeesTheSending_AndNotThePatient()
    {
        await using var gateway = new RunningGateway();
        await gateway.StartAsync(null, services => services.AddScoped<ISignedInPerson>(_ => new Somebody(PersonRole.Operator)));
        var (id, _) = await gateway.StoreAsync(RunningGateway.Unserved);

        var story = await gateway.Client.GetStringAsync(new Uri($"/desk/referrals/{id}", UriKind.Relative), Stop);

        Assert.Contains("Patient not shown to this role", story, StringComparison.Ordinal);
        Assert.DoesNotContain($"/desk/referrals/{id}/close", story, StringComparison.Ordinal);
        Assert.Contains($"/desk/referrals/{id}/hold", story, StringComparison.Ordinal);
    }

    [Fact]
    public async Task NobodyWhoIsNotSignedIn_SeesAPage_WhereTheLocalCallerIsOff()
    {
        await using var gateway = new RunningGateway();
        gateway.Settings["Security:LocalCaller"] = "false";
        await gateway.InitializeAsync();

        using var answer = await gateway.Client.GetAsync(new Uri("/desk/referrals", UriKind.Relative), Stop);

        Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
        Assert.Contains("Not signed in", await answer.Content.ReadAsStringAsync(Stop), StringComparison.Ordinal);
    }

    private sealed class Somebody(string role) : ISignedInPerson
    {
        public string? Name => "Somebody";

        public IReadOnlySet<string> Roles { get; } = new HashSet<string> { role };
    }
}
