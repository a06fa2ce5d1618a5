using EarReferral.Storage.Identity;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>Which visits of a clinic are one patient's (decision 0015): the clinic's own patient id, or an NHS number and an equal birth date.</summary>
internal static class VisitsOfPatient
{
    /// <summary>Keys of the other visits; withheld where it is not settled who the patient is.</summary>
    public static async Task<(IReadOnlyList<Guid> Encounters, bool IsWithheld)> FindAsync(StoreContext store, HistoryQuestion question, CancellationToken cancellationToken)
    {
        var own = await store.IdentitySeeds
            .Where(row => row.ClinicId == question.ClinicId && row.Kind == IdentityKind.Patient && row.LocalId == question.ClinicPatientId)
            .Select(row => (Guid?)row.Seed)
            .SingleOrDefaultAsync(cancellationToken);
        var self = await store.IdentitySeeds
            .Where(row => row.ClinicId == question.ClinicId && row.Kind == IdentityKind.Encounter && row.LocalId == question.ClinicEncounterId)
            .Select(row => (Guid?)row.Seed)
            .SingleOrDefaultAsync(cancellationToken);
        return await FindAsync(store, question.ClinicId, own, self, question.Patient, cancellationToken);
    }

    /// <summary>The same by keys.</summary>
    public static async Task<(IReadOnlyList<Guid> Encounters, bool IsWithheld)> FindAsync(
        StoreContext store, string clinicId, Guid? patientKey, Guid? encounterKey, PatientLink patient, CancellationToken cancellationToken)
    {
        var links = await store.PatientLinks.AsNoTracking()
            .Where(row => row.ClinicId == clinicId && !row.Retracted && row.EncounterKey != encounterKey
                && (row.PatientKey == patientKey || (row.Counts && row.NhsNumber != null && row.NhsNumber == patient.NhsNumber && row.BirthDate == patient.BirthDate)))
            .ToListAsync(cancellationToken);
        if (links.Count == 0)
        {
            return ([], false);
        }

        // A person who linked the record said which of its visits are the patient's; one who unlinked it spoke of the number alone.
        var keys = links.Select(row => row.PatientKey).Distinct().ToList();
        var linked = await store.IdentityDecisions
            .Where(row => row.Holds && row.Linked && keys.Contains(row.PatientKey)).Select(row => row.PatientKey).ToListAsync(cancellationToken);
        links.RemoveAll(row => !row.Counts && linked.Contains(row.PatientKey));
        var contradicts = links.Exists(row => row.BirthDate != patient.BirthDate
            || (row.NhsNumber is { } number && patient.NhsNumber is { } said && number != said));
        var unsettled = contradicts || await store.IdentityConflicts.AnyAsync(row => keys.Contains(row.PatientKey), cancellationToken);
        return unsettled ? ([], true) : ([.. links.Select(row => row.EncounterKey)], false);
    }

    /// <summary>The newest revisions of these visits that were decided before an instant and stand as a record, oldest first.</summary>
    public static async Task<List<EncounterRow>> EarlierAsync(StoreContext store, IReadOnlyList<Guid> encounters, DateTimeOffset before, CancellationToken cancellationToken) =>
        encounters.Count == 0 ? [] : await Standing(store, encounters).Where(row => row.EvaluatedAt < before).OrderBy(row => row.EvaluatedAt).ToListAsync(cancellationToken);

    /// <summary>
    /// The newest revision of each of these visits that stands as a record. A revision in quarantine says nothing, so the one before it stands;
    /// nothing stands of a retracted visit.
    /// </summary>
    public static IQueryable<EncounterRow> Standing(StoreContext store, IReadOnlyList<Guid> encounters) => store.Encounters.AsNoTracking()
        .Where(row => encounters.Contains(row.EncounterKey)
            && row.State != StoredEncounter.Quarantined && row.State != StoredEncounter.Retracted
            && !store.Encounters.Any(later => later.EncounterKey == row.EncounterKey && later.Revision > row.Revision && later.State != StoredEncounter.Quarantined));
}
