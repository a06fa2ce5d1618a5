using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;

namespace EarReferral.Storage.Resources;

/// <summary>Rows of everything about a patient or a visit. Goes by the patient that each row is kept for, so that Tasks and origins, which no compartment of R4 holds, are not lost.</summary>
internal static class EverythingSql
{
    public static IQueryable<ResourceRow> Of(StoreContext store, Reach reach, ResourceRow owner, EverythingQuery query)
    {
        var (patient, encounter) = (owner.PatientKey, owner.EncounterKey);
        var own = store.Resources.Within(reach, store).Where(row => !row.Shared && row.PatientKey == patient);
        own = owner.Type == "Patient"
            ? InVisits(store, own, query)
            : own.Where(row => row.EncounterKey == encounter || row.Type == "Patient");
        // A role is named by the record, its practitioner only by the role.
        var people = NamedBy(store, reach, own);
        var named = NamedBy(store, reach, people);
        var rows = store.Resources.Where(row => own.Any(each => each.Key == row.Key) || people.Any(each => each.Key == row.Key) || named.Any(each => each.Key == row.Key));
        if (query.Since is { } since)
        {
            rows = rows.Where(row => row.LastUpdated >= since);
        }

        return query.Types.Count == 0 ? rows : rows.Where(row => query.Types.Contains(row.Type));
    }

    /// <summary>People and organisations that rows refer to.</summary>
    private static IQueryable<ResourceRow> NamedBy(StoreContext store, Reach reach, IQueryable<ResourceRow> rows)
    {
        var references = store.SearchReferences.Where(reference => rows.Any(row => row.Key == reference.ResourceKey));
        return store.Resources.Within(reach, store).Where(row => row.Shared && references.Any(reference => reference.TargetType == row.Type && reference.TargetId == row.Id));
    }

    /// <summary>The care dates of R4's operation are those of the visit that a resource belongs to; the patient belongs to all of them.</summary>
    private static IQueryable<ResourceRow> InVisits(StoreContext store, IQueryable<ResourceRow> rows, EverythingQuery query)
    {
        if (query is { From: null, To: null })
        {
            return rows;
        }

        var (from, to) = (query.From?.ToUnixTimeMilliseconds() ?? long.MinValue, query.To?.ToUnixTimeMilliseconds() ?? long.MaxValue);
        var visits = store.Resources
            .Where(visit => visit.Type == "Encounter" && store.SearchDates.Any(date => date.ResourceKey == visit.Key && date.Parameter == "date" && date.From < to && date.To > from))
            .Select(visit => visit.EncounterKey);
        return rows.Where(row => row.Type == "Patient" || visits.Contains(row.EncounterKey));
    }
}
