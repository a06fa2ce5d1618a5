using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Vocabulary;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>Decides every stored encounter again under another rule set, at the instant and with the answers it was decided with then. Reads only.</summary>
internal sealed class RuleComparison(EncounterStore encounters, ClinicVocabularies vocabularies)
{
    private const int PageSize = 200;

    // Whose number it is plays no part in a decision.
    private static readonly EncounterIdentity Unkept = new(
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c01"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c02"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c03"),
        new Guid("3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c04"));

    /// <summary>Compares the newest revision of each encounter.</summary>
    /// <param name="reach">Whose encounters.</param>
    /// <param name="candidate">The set to try.</param>
    /// <param name="since">Only encounters decided at or after this instant.</param>
    /// <param name="progress">Told how many encounters have been read so far.</param>
    /// <param name="stop">Ends it.</param>
    public async Task<ComparisonReport> RunAsync(Reach reach, RuleBook candidate, DateTimeOffset? since, Action<int> progress, CancellationToken stop)
    {
        var (read, compared, newly, no, tier) = (0, 0, 0, 0, 0);
        var changed = new List<ComparedEncounter>();
        var missed = new List<EncounterNotCompared>();
        string? cursor = null;
        do
        {
            var page = await encounters.ListAsync(reach, cursor, PageSize, stop);
            var wanted = page.Items.Where(encounter => !encounter.IsRetracted && (since is null || encounter.EvaluatedAt >= since)).ToList();
            foreach (var (encounter, difference, why) in wanted.AsParallel().AsOrdered().WithCancellation(stop).Select(encounter => Compare(encounter, candidate)))
            {
                if (difference is null)
                {
                    missed.Add(new EncounterNotCompared(encounter.ClinicId, encounter.ClinicEncounterId, encounter.Revision, why!));
                    continue;
                }

                compared++;
                var (before, after) = (difference.TierBefore != nameof(Tier.T4), difference.TierAfter != nameof(Tier.T4));
                newly += !before && after ? 1 : 0;
                no += before && !after ? 1 : 0;
                tier += difference.TierBefore != difference.TierAfter ? 1 : 0;
                if (!difference.IsNone)
                {
                    changed.Add(new ComparedEncounter(
                        encounter.ClinicId, encounter.ClinicEncounterId, encounter.Revision, encounter.EvaluatedAt, KeptDecision.Of(encounter)!.RuleBook.Version, difference));
                }
            }

            read += page.Items.Count;
            progress(read);
            cursor = page.Next;
        }
        while (cursor is not null);
        return new ComparisonReport($"{candidate.Version.Version} {candidate.Version.Sha256}", since, compared, newly, no, tier, changed, missed);
    }

    private (StoredEncounter Encounter, DecisionDifference? Difference, string? Why) Compare(StoredEncounter stored, RuleBook candidate)
    {
        if (KeptDecision.Of(stored) is not { } before)
        {
            return (stored, null, "no decision is stored");
        }

        // From the document as it was posted, the one thing about a visit that no later program has touched.
        if (Read(stored) is not { } encounter)
        {
            return (stored, null, "the stored document is not read by this program");
        }

        var record = RecordMapper.Map(encounter, Unkept, MappingContext.BritishEnglish);
        var history = HistoryMapper.Input(before.History, encounter, record, Unkept);
        var after = TriageEngine.Decide(candidate, record.Resources, history, encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone));
        return (stored, DecisionDifference.Between(before, after), null);
    }

    private ClinicEncounter? Read(StoredEncounter stored)
    {
        try
        {
            return EncounterReader.ReadAccepted(stored.Raw, vocabularies.All);
        }
        catch (InvalidDataException)
        {
            // Accepted under a contract that this program no longer knows; it is listed, never counted as unchanged.
            return null;
        }
    }
}
