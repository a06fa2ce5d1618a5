using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Resources;

/// <summary>Whose a resource is, and which encounter brings it.</summary>
internal sealed record ResourceOwner(string ClinicId, string? PracticeOds, Guid PatientKey, Guid EncounterKey);

/// <summary>Writes resource versions and their index rows within the caller's transaction.</summary>
internal static class ResourceWriter
{
    /// <summary>Types about the clinic and its people: they carry no patient, so no one practice owns them.</summary>
    private static readonly string[] SharedTypes = ["Organization", "Practitioner", "PractitionerRole"];

    /// <summary>The stored rows of the given resources, read at once.</summary>
    public static async Task<Dictionary<(string Type, string Id), ResourceRow>> LoadAsync(
        StoreContext store, IReadOnlyList<Resource> resources, CancellationToken cancellationToken)
    {
        var ids = resources.Select(resource => resource.Id).Distinct().ToList();
        return await store.Resources
            .Where(row => ids.Contains(row.Id))
            .ToDictionaryAsync(row => (row.Type, row.Id), cancellationToken);
    }

    /// <summary>Stores the resource as a new version when its content changed. Returns the current version.</summary>
    /// <param name="addressedTo">Destination that may read it; null leaves it as it is.</param>
    public static async Task<int> PutAsync(
        StoreContext store,
        Dictionary<(string Type, string Id), ResourceRow> stored,
        Resource resource,
        ResourceOwner owner,
        string? addressedTo,
        DateTimeOffset now,
        CancellationToken cancellationToken)
    {
        var type = resource.TypeName;
        var id = resource.Id ?? throw new InvalidOperationException($"A {type} without id cannot be stored.");
        var row = stored.GetValueOrDefault((type, id));
        var hash = ResourceJson.ContentSha256(resource);
        var shared = SharedTypes.Contains(type);
        if (row is null)
        {
            row = new ResourceRow
            {
                Type = type,
                Id = id,
                Version = 1,
                LastUpdated = now,
                ContentSha256 = hash,
                ClinicId = owner.ClinicId,
                PracticeOds = shared ? null : owner.PracticeOds,
                Destination = addressedTo,
                Shared = shared,
                PatientKey = shared ? null : owner.PatientKey,
                EncounterKey = shared ? null : owner.EncounterKey,
                SortDate = SearchIndexer.SortDate(resource),
            };
            store.Add(row);
            stored.Add((type, id), row);
            AddVersion(store, row, resource);
            return 1;
        }

        if (row.ClinicId != owner.ClinicId || (!shared && row.PatientKey != owner.PatientKey))
        {
            throw new InvalidOperationException($"{type}/{id} belongs to another clinic or patient; its id was not derived from this clinic's seeds.");
        }

        row.PracticeOds = shared ? null : owner.PracticeOds;
        row.Destination = addressedTo ?? row.Destination;
        if (row.ContentSha256 == hash)
        {
            return row.Version;
        }

        await LockIndexAsync(store, row.Key, cancellationToken);
        row.Version++;
        row.LastUpdated = now;
        row.ContentSha256 = hash;
        row.SortDate = SearchIndexer.SortDate(resource);
        await RemoveIndexAsync(store, row.Key, cancellationToken);
        AddVersion(store, row, resource);
        return row.Version;
    }

    /// <summary>
    /// Keeps two writers of one resource's index apart: a removal sees only rows that are committed, so without it a renewal of the
    /// index and a new version would leave the rows of both.
    /// </summary>
    public static Task LockIndexAsync(StoreContext store, long key, CancellationToken cancellationToken) =>
        store.LockAsync(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"index {key}"), cancellationToken);

    /// <summary>Removes the index rows of a resource.</summary>
    public static async Task RemoveIndexAsync(StoreContext store, long key, CancellationToken cancellationToken)
    {
        await store.SearchTokens.Where(index => index.ResourceKey == key).ExecuteDeleteAsync(cancellationToken);
        await store.SearchDates.Where(index => index.ResourceKey == key).ExecuteDeleteAsync(cancellationToken);
        await store.SearchReferences.Where(index => index.ResourceKey == key).ExecuteDeleteAsync(cancellationToken);
        await store.SearchTexts.Where(index => index.ResourceKey == key).ExecuteDeleteAsync(cancellationToken);
    }

    private static void AddVersion(StoreContext store, ResourceRow row, Resource resource)
    {
        store.Add(new ResourceVersionRow
        {
            Resource = row,
            Version = row.Version,
            LastUpdated = row.LastUpdated,
            Json = ResourceJson.Write(resource, row.Version, row.LastUpdated),
        });
        store.AddIndex(SearchIndexer.Rows(resource, row));
    }
}
