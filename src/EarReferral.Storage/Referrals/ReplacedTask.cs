using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Storage.Referrals;

/// <summary>The Task of a referral that was replaced at its receiver: one Task here, and there one for each request.</summary>
internal static class ReplacedTask
{
    /// <summary>The Task with every identifier that it has ever had at the receiver, the newest last.</summary>
    /// <param name="store">Context of the transaction.</param>
    /// <param name="task">The Task as it is now; not changed.</param>
    /// <param name="identifier">Value by which the receiver will know it from now on.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public static async Task<FhirTask> NamedAsync(StoreContext store, FhirTask task, string identifier, CancellationToken cancellationToken)
    {
        var json = await store.Resources
            .Where(row => row.Type == "Task" && row.Id == task.Id)
            .Join(store.ResourceVersions, row => new { ResourceKey = row.Key, row.Version }, version => new { version.ResourceKey, version.Version }, (_, version) => version.Json)
            .SingleOrDefaultAsync(cancellationToken);
        var named = (FhirTask)task.DeepCopy();
        foreach (var earlier in json is null ? [] : ((FhirTask)ResourceJson.Parse(json)).Identifier.Skip(1))
        {
            named.Identifier.Add((Identifier)earlier.DeepCopy());
        }

        if (named.Identifier.TrueForAll(each => each.Value != identifier))
        {
            named.Identifier.Add(new Identifier(named.Identifier[0].System, identifier));
        }

        return named;
    }
}
