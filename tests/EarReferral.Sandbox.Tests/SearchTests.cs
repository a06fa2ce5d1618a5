using System.Net;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Sandbox.Tests;

/// <summary>Checked against FHIR R4 4.0.1, search: token, and RESTful API: read, capabilities.</summary>
public sealed class SearchTests
{
    [Theory]
    [InlineData("https://ear-referral.example/identifier/resource|a-request", 1, "system and value")]
    [InlineData("a-request", 1, "value in any system")]
    [InlineData("|a-request", 0, "the identifier has a system")]
    [InlineData("https://elsewhere.example|a-request", 0, "another system")]
    [InlineData("https://ear-referral.example/identifier/resource|A-REQUEST", 0, "identifiers keep their case")]
    public async Task An_identifier_is_matched_as_a_token(string identifier, int expected, string because)
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));

        var byUrl = await sandbox.GetAsync($"/fhir/ServiceRequest?identifier={Uri.EscapeDataString(identifier)}");
        var byForm = await sandbox.SearchByFormAsync("ServiceRequest", identifier);

        Assert.True(expected == (int?)byUrl.Body["total"], because);
        Assert.True(expected == (int?)byForm.Body["total"], because);
        Assert.Equal(expected, byUrl.Body["entry"]?.AsArray().Count ?? 0);
    }

    [Fact]
    public async Task A_parameter_that_is_not_served_is_refused_and_not_ignored()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));

        var (status, body) = await sandbox.GetAsync("/fhir/ServiceRequest?status=active");

        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Equal("OperationOutcome", (string?)body["resourceType"]);
    }

    [Theory]
    [InlineData("/fhir/Task/unknown")]
    [InlineData("/fhir/Task/unknown/_history/1")]
    public async Task What_is_not_there_is_an_operation_outcome(string path)
    {
        await using var sandbox = await RunningSandbox.StartAsync();

        var (status, body) = await sandbox.GetAsync(path);

        Assert.Equal(HttpStatusCode.NotFound, status);
        Assert.Equal("OperationOutcome", (string?)body["resourceType"]);
    }

    [Fact]
    public async Task The_capability_statement_declares_what_a_sender_must_know()
    {
        await using var sandbox = await RunningSandbox.StartAsync();

        var body = (await sandbox.GetAsync("/fhir/metadata")).Body;

        var statement = Assert.IsType<CapabilityStatement>(new FhirJsonDeserializer().DeserializeResource(body.ToJsonString()));
        Assert.Equal(CapabilityStatement.SystemRestfulInteraction.Transaction, statement.Rest.Single().Interaction.Single().Code);
        Assert.All(statement.Rest.Single().Resource, resource => Assert.True(resource.ConditionalCreate));
    }
}
