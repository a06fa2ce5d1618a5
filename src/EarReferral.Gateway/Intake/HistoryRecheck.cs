using System.Text.Json;
using EarReferral.Encounters;
using EarReferral.Gateway.Rules;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.History;
using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Intake;

/// <summary>
/// Decides visits again whose history came late, was amended or taken back, and keeps what differs for a person to see. Alters no decision:
/// a clinician who corrects, answers or decides makes the next version, and that one has the history of then.
/// </summary>
internal sealed class HistoryRecheck(HistoryStore histories, EncounterStore encounters, HistoryReader reader, DocumentReader documents, RuleBook rules)
{
    private static readonly Reach Everywhere = new Reach.Everything("history review");

    /// <summary>Looks at everything that was noted, then says what differs.</summary>
    public async Task<IReadOnlyList<HistoryChange>> ReadAsync(CancellationToken stop)
    {
        var changes = new List<HistoryChange>();
        foreach (var review in await histories.ReviewsAsync(Everywhere, stop))
        {
            if (await encounters.FindAsync(Everywhere, review.EncounterKey, stop) is not { } stored)
            {
                continue;
            }

            var difference = review.Finding is { } known
                ? JsonSerializer.Deserialize<DecisionDifference>(known, JsonSerializerOptions.Web)
                : await LookAsync(review, stored, stop);
            if (difference is not null)
            {
                changes.Add(new HistoryChange(review, stored.ClinicEncounterId, difference));
            }
        }

        return changes;
    }

    private async Task<DecisionDifference?> LookAsync(HistoryReview review, StoredEncounter stored, CancellationToken stop)
    {
        DecisionDifference? difference = null;
        if (stored.Revision == review.Revision && documents.ReadAccepted(stored.Raw).Encounter is { } encounter && KeptDecision.Of(stored) is { } before)
        {
            // Both with the rules of today, so that what differs comes from the history and from nothing else.
            var identity = new EncounterIdentity(stored.EncounterKey, stored.PatientKey, stored.PatientKey, stored.PatientKey);
            var facts = VisitHistory.Of(encounter, identity, (await reader.ReadAsync(encounter, stop)).Visits);
            var found = DecisionDifference.Between(Decide(encounter, identity, before.History), Decide(encounter, identity, facts));
            difference = found.IsNone ? null : found;
        }

        await histories.SettleAsync(review, difference is null ? null : JsonSerializer.Serialize(difference, JsonSerializerOptions.Web), stop);
        return difference;
    }

    private TriageDecision Decide(ClinicEncounter encounter, EncounterIdentity identity, IReadOnlyList<HistoryFact> facts)
    {
        var record = RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish);
        return TriageEngine.Decide(
            rules, record.Resources, HistoryMapper.Input(facts, encounter, record, identity), encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone));
    }
}

/// <summary>A visit that would be decided otherwise with the history of today.</summary>
internal sealed record HistoryChange(HistoryReview Review, string EncounterId, DecisionDifference Difference);
