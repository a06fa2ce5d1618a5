using System.Text;
using EarReferral.Delivery.Decisions;
using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Tests.Decisions;

/// <summary>CapabilityStatement elements as FHIR R4 defines them: rest.interaction, rest.resource.conditionalCreate, rest.operation, messaging.</summary>
public sealed class CapabilityReadingTests
{
    private const string Creating = """{"type":"ServiceRequest","conditionalCreate":true,"conditionalUpdate":true},{"type":"Task","conditionalCreate":true},{"type":"Patient","conditionalCreate":true}""";

    public static string Statement(string rest, string version = "4.0.1", string more = "") =>
        $$"""{"resourceType":"CapabilityStatement","fhirVersion":"{{version}}","rest":[{"mode":"server",{{rest}}}]{{more}}}""";

    [Theory]
    [InlineData($$"""  "interaction":[{"code":"transaction"}],"resource":[{{Creating}}]  """, ExchangeMode.Transaction, true)]
    [InlineData($$"""  "interaction":[{"code":"transaction"}],"resource":[{{Creating}}],"operation":[{"name":"process-message"}]  """, ExchangeMode.Transaction, true)] // its answer proves what was stored
    [InlineData("""  "interaction":[{"code":"transaction"}],"operation":[{"name":"$process-message"}]  """, ExchangeMode.Message, false)] // no conditional creation: a repeat would double
    [InlineData("""  "operation":[{"name":"process-message"}]  """, ExchangeMode.Message, false)]
    public void WhatIsPromised_ChoosesTheExchange(string rest, object mode, bool updates)
    {
        var reading = Read(Statement(rest));

        Assert.Equal(((ExchangeMode?)mode, updates, null), (reading.Mode, reading.Updates, reading.Problem));
    }

    [Fact]
    public void MessagingElement_IsAPromiseToo() =>
        Assert.Equal(ExchangeMode.Message, Read(Statement("\"interaction\":[]", more: ",\"messaging\":[{\"endpoint\":[]}]")).Mode);

    [Theory]
    [InlineData("<html>sign in</html>", "cannot be read as JSON")]
    [InlineData("[]", "no CapabilityStatement")]
    [InlineData("""{"resourceType":"OperationOutcome"}""", "no CapabilityStatement")]
    [InlineData("""{"resourceType":"CapabilityStatement","fhirVersion":"5.0.0"}""", "FHIR 5.0.0, not R4")]
    [InlineData("""{"resourceType":"CapabilityStatement","fhirVersion":"4.0.1"}""", "neither transactions nor")]
    [InlineData("""{"resourceType":"CapabilityStatement","fhirVersion":"4.0.1","rest":[{"mode":"client","interaction":[{"code":"transaction"}]}]}""", "neither transactions nor")]
    [InlineData("""{"resourceType":"CapabilityStatement","fhirVersion":"4.0.1","rest":[{"mode":"server","interaction":[{"code":"transaction"}]}]}""", "could store them twice")]
    public void WhatCannotBeSentTo_IsSaid(string statement, string problem)
    {
        var reading = Read(statement);

        Assert.Null(reading.Mode);
        Assert.Contains(problem, reading.Problem, StringComparison.Ordinal);
    }

    private static CapabilityReading Read(string statement) => CapabilityReading.Read(Encoding.UTF8.GetBytes(statement));
}
