using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Identity;

namespace EarReferral.Gateway.Health;

/// <summary>Takes one invented encounter through every stage that stores nothing, so that the first real one does not wait for their compilation.</summary>
internal sealed class Rehearsal(EncounterJudge judge, ClinicDirectory clinics, TimeProvider clock)
{
    private const string Document = "rehearsal.json";

    private static readonly EncounterIdentity Unkept = new(
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0b01"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0b02"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0b03"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0b04"));

    /// <summary>Judges the encounter as if it came from the first configured clinic; null where none is configured.</summary>
    public Judgement? Run()
    {
        if (clinics.First is not { } clinic)
        {
            return null;
        }

        var judgement = judge.Judge(Encounter(clinic), Unkept, KnownHistory.None);
        _ = ReceiptWriter.Preview(judgement, clock.GetUtcNow());
        return judgement;
    }

    /// <summary>The stages that need no validator; they may run while it is still warming.</summary>
    public void RunUpToDecision()
    {
        if (clinics.First is { } clinic)
        {
            _ = judge.Decide(Encounter(clinic), KnownHistory.None);
        }
    }

    private static ClinicEncounter Encounter(string clinic)
    {
        using var stream = typeof(Rehearsal).Assembly.GetManifestResourceStream(Document)!;
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var encounter = EncounterReader.Read(memory.ToArray(), new EncounterReaderOptions { AllowTestNhsNumbers = true }).Encounter
            ?? throw new InvalidDataException("The encounter of the rehearsal is not one that the contract allows.");
        return encounter with { Clinic = encounter.Clinic with { Id = clinic } };
    }
}
