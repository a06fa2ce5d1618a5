using System.IO.Compression;
using System.Net;
using System.Text;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>HL7 FHIR R4 RESTful API, "Content Types and encodings" and "General parameters". G13 to G15 of the GP's vectors are here.</summary>
public sealed class NegotiationTests(RecordedVisits visits) : IClassFixture<RecordedVisits>
{
    [Theory]
    [InlineData(null, "", "application/fhir+json")]
    [InlineData("*/*", "", "application/fhir+json")]
    [InlineData("application/fhir+xml", "", "application/fhir+xml")] // G13
    [InlineData("application/fhir+json", "_format=xml", "application/fhir+xml")] // G14
    [InlineData("application/fhir+xml", "_format=application/fhir%2Bjson", "application/fhir+json")]
    [InlineData("application/fhir+xml", "_format=application/fhir+json", "application/fhir+json")] // a plus sign that arrives as a space
    [InlineData("application/json", "", "application/json")]
    [InlineData("text/json", "", "text/json")]
    [InlineData("application/xml", "", "application/xml")]
    [InlineData("text/xml", "", "text/xml")]
    [InlineData("application/xml+fhir", "", "application/fhir+xml")]
    [InlineData("application/fhir+xml;q=0.9, application/fhir+json;q=0.5", "", "application/fhir+xml")]
    [InlineData("application/fhir+xml;q=0.5, application/fhir+json;q=0.9", "", "application/fhir+json")]
    [InlineData("text/csv, application/fhir+xml;q=0.1", "", "application/fhir+xml")]
    [InlineData("application/fhir+json;q=0, */*", "", "application/fhir+xml")]
    [InlineData("application/fhir+json; fhirVersion=4.0", "", "application/fhir+json")]
    [InlineData("application/fhir+json; fhirVersion=5.0, application/fhir+xml; fhirVersion=4.0", "", "application/fhir+xml")]
    public async Task Answer_IsWrittenAsAsked(string? accept, string query, string expected)
    {
        foreach (var address in new[] { $"/fhir/Patient/{visits.Patient}?{query}", $"/fhir/Procedure?patient=nobody&{query}", $"/fhir/Patient/never?{query}", $"/fhir/nothing/at/all/here?{query}" })
        {
            using var answer = await visits.SendAsync(address, headers: accept is null ? [] : [("Accept", accept)]);

            Assert.Equal(expected, answer.Content.Headers.ContentType!.MediaType);
            Assert.Equal("utf-8", answer.Content.Headers.ContentType.CharSet);
            Assert.Contains("Accept", answer.Headers.Vary);
            _ = await RecordedVisits.ReadAsync(answer);
        }
    }

    [Theory]
    [InlineData("text/csv", "")] // G15
    [InlineData("application/fhir+json; fhirVersion=5.0", "")]
    [InlineData("application/fhir+json", "_format=ttl")]
    [InlineData("application/fhir+json;q=0", "")]
    [InlineData("nonsense", "")]
    public async Task WhatCannotBeWritten_Is406InJson(string accept, string query)
    {
        using var answer = await visits.SendAsync($"/fhir/Patient/{visits.Patient}?{query}", headers: ("Accept", accept));

        Assert.Equal(HttpStatusCode.NotAcceptable, answer.StatusCode);
        Assert.Equal("application/fhir+json", answer.Content.Headers.ContentType!.MediaType);
        Assert.IsType<OperationOutcome>(await RecordedVisits.ReadAsync(answer));
    }

    [Theory]
    [InlineData("POST", "/fhir", "text/plain", HttpStatusCode.UnsupportedMediaType)]
    [InlineData("POST", "/fhir", "application/fhir+json; fhirVersion=5.0", HttpStatusCode.UnsupportedMediaType)]
    [InlineData("PUT", "/fhir/Task/1", "text/plain", HttpStatusCode.UnsupportedMediaType)]
    [InlineData("POST", "/fhir/Patient/_search", "application/fhir+json", HttpStatusCode.UnsupportedMediaType)]
    [InlineData("POST", "/fhir", "application/fhir+json", HttpStatusCode.BadRequest)]
    [InlineData("POST", "/fhir", "application/fhir+xml", HttpStatusCode.BadRequest)]
    [InlineData("PUT", "/fhir/Task/1", "application/fhir+json", HttpStatusCode.BadRequest)]
    [InlineData("POST", "/fhir/Procedure", "application/fhir+json", HttpStatusCode.MethodNotAllowed)]
    [InlineData("DELETE", "/fhir/Procedure/1", null, HttpStatusCode.MethodNotAllowed)]
    [InlineData("PATCH", "/fhir/Procedure/1", "application/json-patch+json", HttpStatusCode.MethodNotAllowed)]
    [InlineData("GET", "/fhir/Medication", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir/Nonsense/1", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir/Patient/1/$nothing", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir/Patient/$nothing", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir/Patient/1/_history/one", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir/a/b/c/d/e", null, HttpStatusCode.NotFound)]
    [InlineData("GET", "/fhir", null, HttpStatusCode.MethodNotAllowed)]
    public async Task EveryRefusal_IsAnOperationOutcomeInTheFormAskedFor(string method, string address, string? contentType, HttpStatusCode expected)
    {
        foreach (var accept in new[] { "application/fhir+json", "application/fhir+xml" })
        {
            using var body = contentType is null ? null : new ByteArrayContent("<not {json"u8.ToArray());
            body?.Headers.TryAddWithoutValidation("Content-Type", contentType);
            using var answer = await visits.SendAsync(address, new HttpMethod(method), body, ("Accept", accept));

            Assert.Equal((expected, accept), (answer.StatusCode, answer.Content.Headers.ContentType?.MediaType));
            Assert.NotEmpty(Assert.IsType<OperationOutcome>(await RecordedVisits.ReadAsync(answer)).Issue);
        }
    }

    [Fact]
    public async Task JsonAndXml_CarryTheSameContent()
    {
        var summary = ((string)visits.Referred["summary"]!)[..^"/$document".Length];
        foreach (var address in new[]
        {
            $"/fhir/Patient/{visits.Patient}",
            summary,
            $"{summary}/$document",
            $"{summary}/_history",
            $"/fhir/Patient/{visits.Patient}/$everything",
            $"/fhir/Observation?patient={visits.Patient}&_include=Observation:encounter&_count=200",
            "/fhir/metadata",
            "/fhir/StructureDefinition/ear-procedure",
            "/fhir/ValueSet/ear-side/$expand",
        })
        {
            var (status, json) = await visits.GetAsync(address, ("Accept", "application/fhir+json"));
            var (_, xml) = await visits.GetAsync(address, ("Accept", "application/fhir+xml"));

            Assert.Equal(HttpStatusCode.OK, status);
            foreach (var bundle in new[] { json, xml }.OfType<Bundle>().Where(bundle => bundle.Type != Bundle.BundleType.Document))
            {
                // Made anew with each answer; a sealed link is another each time.
                bundle.Timestamp = null;
                bundle.Link.RemoveAll(link => link.Relation == "next");
            }

            if (json is ValueSet { Expansion: { } first } && xml is ValueSet { Expansion: { } second })
            {
                (first.Identifier, first.Timestamp) = (second.Identifier, second.Timestamp);
            }

            Assert.True(json.IsExactly(xml), address);
        }
    }

    [Fact]
    public async Task Batch_CanBeSentAndAnsweredAsXml()
    {
        var batch = new Bundle { Type = Bundle.BundleType.Batch, Entry = [new Bundle.EntryComponent { Request = new Bundle.RequestComponent { Method = Bundle.HTTPVerb.GET, Url = $"Patient/{visits.Patient}" } }] };
        using var body = new StringContent(new FhirXmlSerializer().SerializeToString(batch), Encoding.UTF8, "application/fhir+xml");
        using var answer = await visits.SendAsync("/fhir", HttpMethod.Post, body, ("Accept", "application/fhir+xml"));

        Assert.Equal(visits.Patient, ((Bundle)await RecordedVisits.ReadAsync(answer)).Entry.Single().Resource!.Id);
    }

    [Fact]
    public async Task XmlWithADocumentType_IsRefused()
    {
        using var body = new StringContent("<!DOCTYPE b [<!ENTITY e \"x\">]><Bundle xmlns=\"http://hl7.org/fhir\"><type value=\"batch\"/></Bundle>", Encoding.UTF8, "application/fhir+xml");
        using var answer = await visits.SendAsync("/fhir", HttpMethod.Post, body);

        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    [Theory]
    [InlineData("gzip")]
    [InlineData("br")]
    public async Task Answer_IsCompressedWhenAsked(string encoding)
    {
        var address = $"/fhir/Patient/{visits.Patient}";
        using var plain = await visits.SendAsync(address);
        using var packed = await visits.SendAsync(address, headers: ("Accept-Encoding", encoding));

        Assert.Equal([encoding], packed.Content.Headers.ContentEncoding);
        Assert.Contains("Accept-Encoding", packed.Headers.Vary);
        await using var bytes = await packed.Content.ReadAsStreamAsync(TestContext.Current.CancellationToken);
        await using Stream unpacked = encoding == "br" ? new BrotliStream(bytes, CompressionMode.Decompress) : new GZipStream(bytes, CompressionMode.Decompress);
        using var reader = new StreamReader(unpacked);
        Assert.Equal(await plain.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), await reader.ReadToEndAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Pretty_IsIndented()
    {
        using var answer = await visits.SendAsync($"/fhir/Patient/{visits.Patient}?_pretty=true");

        Assert.StartsWith("{\n  \"resourceType\"", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }
}
