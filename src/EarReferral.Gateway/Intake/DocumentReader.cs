using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Vocabulary;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>Reads posted documents as this site is configured.</summary>
internal sealed class DocumentReader(IOptions<GatewayOptions> options, ClinicVocabularies vocabularies)
{
    private readonly EncounterReaderOptions readerOptions = new()
    {
        AllowTestNhsNumbers = options.Value.AllowTestNhsNumbers,
        Vocabularies = vocabularies.All,
    };

    private readonly EncounterReaderOptions asAccepted = new() { AllowTestNhsNumbers = true, Vocabularies = vocabularies.All };

    /// <summary>A document that was accepted once, whatever numbers the site allows today.</summary>
    public EncounterReading ReadAccepted(ReadOnlyMemory<byte> document) => EncounterReader.Read(document, asAccepted);

    /// <summary>An encounter, or everything that is wrong with the document.</summary>
    public EncounterReading Read(ReadOnlyMemory<byte> document) => EncounterReader.Read(document, readerOptions);
}
