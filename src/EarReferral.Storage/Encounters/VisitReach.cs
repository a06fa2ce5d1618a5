using EarReferral.Storage.Referrals;
using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>
/// Who may read what a visit left behind, after a revision of it: what the revision no longer carries, and what stays because the
/// revision is in quarantine, follows the patient's newest word too.
/// </summary>
internal static class VisitReach
{
    /// <summary>
    /// The practice that may read the Patient: the revision's own, else that of the patient's newest other visit that still stands
    /// and is not kept from its practice.
    /// </summary>
    public static async Task<string?> OfPatientAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken) => revision.PracticeOds
        ?? await store.Encounters
            .Where(row => row.PatientKey == revision.PatientKey && row.EncounterKey != revision.EncounterKey && row.PracticeOds != null
                && row.State != StoredEncounter.Retracted && row.State != StoredEncounter.Quarantined
                && !store.Encounters.Any(later => later.EncounterKey == row.EncounterKey && later.Revision > row.Revision))
            .OrderByDescending(row => row.EvaluatedAt)
            .Select(row => row.PracticeOds)
            .FirstOrDefaultAsync(cancellationToken);

    /// <summary>Whether the receiver of the referral may read nothing of it, as the placement of the revision in this transaction left it.</summary>
    public static async Task<bool> IsKeptBackAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        if (!revision.IsKeptFromReceiver)
        {
            return false;
        }

        var referral = store.Referrals.Local.FirstOrDefault(row => row.EncounterKey == revision.EncounterKey)
            ?? await store.Referrals.SingleOrDefaultAsync(row => row.EncounterKey == revision.EncounterKey, cancellationToken);
        return referral?.Objection != ReferralObjection.Overridden;
    }

    /// <summary>Gives the rows that are stored already to whoever may read them now.</summary>
    public static async Task MoveAsync(StoreContext store, EncounterRevision revision, string? practiceOfPatient, bool isKeptBack, CancellationToken cancellationToken)
    {
        var (encounter, patient, practice) = (revision.EncounterKey, revision.PatientKey, revision.PracticeOds);
        foreach (var row in store.Resources.Local.Where(row => row.EncounterKey == encounter && !row.Shared && row.Type != "Patient"))
        {
            row.PracticeOds = practice;
            row.Destination = isKeptBack ? null : row.Destination;
        }

        await store.Resources
            .Where(row => row.EncounterKey == encounter && !row.Shared && row.Type != "Patient")
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.PracticeOds, practice), cancellationToken);
        await store.Resources
            .Where(row => row.PatientKey == patient && row.Type == "Patient")
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.PracticeOds, practiceOfPatient), cancellationToken);
        if (isKeptBack)
        {
            await store.Resources
                .Where(row => row.EncounterKey == encounter)
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.Destination, (string?)null), cancellationToken);
        }
        else if (revision.Referral is { } referral)
        {
            // The patient no longer objects: the receiver reads again what is addressed to it.
            await store.Resources
                .Where(row => row.EncounterKey == encounter && (row.Id == referral.ReferralId || row.Id == referral.TaskId))
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.Destination, referral.Destination), cancellationToken);
        }
    }
}
