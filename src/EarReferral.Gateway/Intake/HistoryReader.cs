using EarReferral.Encounters;
using EarReferral.Mapping.History;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>Reads the earlier visits of a patient from the store; what they mean is for the core to say.</summary>
internal sealed class HistoryReader(HistoryStore store, DocumentReader reader)
{
    /// <summary>Earlier visits to the same clinic.</summary>
    public async Task<KnownHistory> ReadAsync(ClinicEncounter encounter, CancellationToken stop)
    {
        var question = new HistoryQuestion(encounter.Clinic.Id, encounter.Patient.Id, encounter.EncounterId, RevisionMaker.Link(encounter.Patient), encounter.EvaluationInstant);
        var earlier = await store.EarlierAsync(question, stop);
        var visits = new List<EarlierVisit>();
        var missed = new List<string>();
        foreach (var stored in earlier.Encounters)
        {
            if (reader.ReadAccepted(stored.Raw).Encounter is { } visit)
            {
                visits.Add(new EarlierVisit(visit, stored.EncounterKey));
            }
            else
            {
                missed.Add(stored.ClinicEncounterId);
            }
        }

        return new KnownHistory(visits, [.. earlier.Encounters.Select(stored => new HistoryBasis(stored.EncounterKey, stored.Revision))], missed, earlier.IsWithheld);
    }
}
