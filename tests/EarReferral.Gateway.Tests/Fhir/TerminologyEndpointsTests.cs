using System.Net;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Gateway.Tests.Referrals;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>HL7 FHIR R4: operations CodeSystem-validate-code, ValueSet-expand and ConceptMap-translate, and search by url.</summary>
public sealed class TerminologyEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private const string Base = "https://ear-referral.example/fhir/";

    [Theory]
    [InlineData("outcome-result", "clear", "", true, "on the list")]
    [InlineData("outcome-result", "Clear", "", false, "the list is case-sensitive")]
    [InlineData("outcome-result", "nothing", "", false, "not on the list")]
    [InlineData("outcome-result", "clear", "&display=Dirty", false, "another display")]
    [InlineData("outcome-result", "clear", "&system=http%3A%2F%2Fsnomed.info%2Fsct", false, "code of another system")]
    public async System.Threading.Tasks.Task Code_IsOnTheListOrNot(string list, string code, string more, bool expected, string why)
    {
        foreach (var address in new[] { $"/fhir/CodeSystem/$validate-code?url={Base}CodeSystem/{list}&code={code}{more}", $"/fhir/CodeSystem/{list}/$validate-code?code={code}{more}" })
        {
            var (status, answer) = await GetAsync(address);
            Assert.Equal(HttpStatusCode.OK, status);
            Assert.True(((Parameters)answer).GetSingleValue<FhirBoolean>("result")!.Value == expected, why);
        }
    }

    [Theory]
    [InlineData("CodeSystem/$validate-code?url=http://snomed.info/sct&code=1", HttpStatusCode.NotFound, "not held here, so not checked and never false")]
    [InlineData("CodeSystem/$validate-code?code=clear", HttpStatusCode.BadRequest, "which code system")]
    [InlineData("CodeSystem/outcome-result/$validate-code", HttpStatusCode.BadRequest, "which code")]
    [InlineData("ValueSet/$expand?url=http://hl7.org/fhir/ValueSet/observation-status", HttpStatusCode.NotFound, "R4's own are left to a terminology server")]
    [InlineData("ConceptMap/finding-to-snomed-ct/$translate?code=pain-present", HttpStatusCode.BadRequest, "a code without its system")]
    [InlineData("CodeSystem?name=Outcome", HttpStatusCode.BadRequest, "a parameter that is not known would narrow")]
    [InlineData("CodeSystem/nothing", HttpStatusCode.NotFound, "no such list")]
    public async System.Threading.Tasks.Task WhatCannotBeAnswered_IsAnError(string address, HttpStatusCode expected, string why)
    {
        var (status, answer) = await GetAsync($"/fhir/{address}");

        Assert.True(status == expected, why);
        Assert.Equal(OperationOutcome.IssueSeverity.Error, Assert.IsType<OperationOutcome>(answer).Issue.Single().Severity);
    }

    [Fact]
    public async System.Threading.Tasks.Task ValueSet_IsExpandedCompletelyOrPageByPage()
    {
        var whole = (ValueSet)(await GetAsync($"/fhir/ValueSet/$expand?url={Base}ValueSet/ear-side")).Answer;
        Assert.Equal(["25577004", "89644007"], whole.Expansion!.Contains.Select(code => code.Code!));

        var page = (ValueSet)(await GetAsync("/fhir/ValueSet/ear-side/$expand?offset=1&count=1")).Answer;
        Assert.Equal((2, 1, "89644007"), (page.Expansion!.Total!.Value, page.Expansion.Offset!.Value, page.Expansion.Contains.Single().Code));

        var byDisplay = (ValueSet)(await GetAsync("/fhir/ValueSet/finding/$expand?filter=tinnitus")).Answer;
        Assert.All(byDisplay.Expansion!.Contains, code => Assert.Contains("tinnitus", code.Display!, StringComparison.OrdinalIgnoreCase));
        Assert.NotEmpty(byDisplay.Expansion.Contains);
    }

    [Fact]
    public async System.Threading.Tasks.Task Code_IsTranslatedOnlyWhereTheMapHasATarget()
    {
        var asked = new Parameters();
        asked.Add("url", new FhirUri($"{Base}ConceptMap/finding-to-snomed-ct"));
        asked.Add("coding", new Coding($"{Base}CodeSystem/finding", "drum-perforation"));
        using var body = new StringContent(new FhirJsonSerializer().SerializeToString(asked), System.Text.Encoding.UTF8, "application/fhir+json");
        using var answer = await gateway.Client.PostAsync(new Uri("/fhir/ConceptMap/$translate", UriKind.Relative), body, TestContext.Current.CancellationToken);
        var found = (Parameters)await ReadAsync(answer);
        Assert.True(found.GetSingleValue<FhirBoolean>("result")!.Value);
        Assert.Equal("60442001", found.GetSingle("match")!.Part.Select(part => part.Value).OfType<Coding>().Single().Code);

        var (_, none) = await GetAsync($"/fhir/ConceptMap/finding-to-snomed-ct/$translate?system={Base}CodeSystem/finding&code=drum-intact");
        Assert.False(((Parameters)none).GetSingleValue<FhirBoolean>("result")!.Value);
    }

    [Fact]
    public async System.Threading.Tasks.Task EveryDeclaredType_IsFoundByUrlAndReadById()
    {
        var declared = ((CapabilityStatement)(await GetAsync("/fhir/metadata")).Answer).Rest[0].Resource.ToDictionary(resource => resource.Type!, StringComparer.Ordinal);
        foreach (var type in Definitions.Types)
        {
            Assert.Equal(2, declared[type].Interaction.Count);
            var all = (Bundle)(await GetAsync($"/fhir/{type}")).Answer;
            var one = all.Entry[0].Resource!;
            Assert.Equal(one.Id, (await GetAsync($"/fhir/{type}/{one.Id}")).Answer.Id);
            if (Definitions.Url(one) is { } url)
            {
                Assert.Equal(one.Id, ((Bundle)(await GetAsync($"/fhir/{type}?url={Uri.EscapeDataString(url)}")).Answer).Entry.Single().Resource!.Id);
            }
        }
    }

    private async Task<(HttpStatusCode Status, Resource Answer)> GetAsync(string address)
    {
        using var answer = await gateway.Client.GetAsync(new Uri(address, UriKind.Relative), TestContext.Current.CancellationToken);
        return (answer.StatusCode, await ReadAsync(answer));
    }

    private static async Task<Resource> ReadAsync(HttpResponseMessage answer) =>
        new FhirJsonDeserializer(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich)).DeserializeResource(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
}
