using System.IO.Compression;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Fhir.Representations;
using Microsoft.AspNetCore.ResponseCompression;

namespace EarReferral.Gateway.Fhir;

/// <summary>Registers the FHIR face.</summary>
internal static class FhirServices
{
    /// <summary>Adds what answers reads, and the renewal of the index that they read.</summary>
    public static IServiceCollection AddFhirReads(this IServiceCollection services) => services
        .AddSingleton<FhirSearch>()
        .AddSingleton<FhirHistory>()
        .AddSingleton<EverythingOperation>()
        .AddSingleton<FhirReads>()
        .AddHostedService<IndexRenewal>();

    /// <summary>Adds gzip and brotli.</summary>
    /// <remarks>
    /// Over TLS too: what compression can leak is a secret that stands in one answer with text of an attacker's choice, and no answer
    /// here carries a token or key; callers are programs that no foreign page can make ask.
    /// </remarks>
    public static IServiceCollection AddFhirCompression(this IServiceCollection services) => services
        .AddResponseCompression(options =>
        {
            options.EnableForHttps = true;
            options.MimeTypes = [.. ResponseCompressionDefaults.MimeTypes, FhirMediaType.Json, FhirMediaType.Xml];
        })
        .Configure<BrotliCompressionProviderOptions>(options => options.Level = CompressionLevel.Fastest)
        .Configure<GzipCompressionProviderOptions>(options => options.Level = CompressionLevel.Fastest);
}
