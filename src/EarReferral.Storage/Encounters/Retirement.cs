using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Storage.Encounters;

/// <summary>
/// Gives what an earlier revision said and the new one no longer says a last version that marks it as wrong: a reader of the
/// record must not find the finding of the wrong ear beside the right one. Nothing is deleted.
/// </summary>
internal static class Retirement
{
    private const string VerificationStatus = "http://terminology.hl7.org/CodeSystem/condition-ver-status";

    private static readonly string[] Types = ["Observation", "Procedure", "Condition", "Composition", "Media", "ServiceRequest", "Task"];

    /// <summary>Retires the encounter's resources that are not among those of the revision.</summary>
    public static async System.Threading.Tasks.Task RetireAsync(
        StoreContext store, EncounterRevision revision, ResourceOwner owner, CancellationToken cancellationToken)
    {
        var carried = revision.Resources.Select(resource => (resource.TypeName, resource.Id!)).ToHashSet();
        var rows = await store.Resources
            .Where(row => row.EncounterKey == revision.EncounterKey && Types.Contains(row.Type))
            .ToListAsync(cancellationToken);
        foreach (var row in rows.Where(row => !carried.Contains((row.Type, row.Id))))
        {
            var json = await store.ResourceVersions
                .Where(version => version.ResourceKey == row.Key && version.Version == row.Version)
                .Select(version => version.Json)
                .SingleAsync(cancellationToken);
            var resource = ResourceJson.Parse(json);
            if (!Mark(resource, revision.ReceivedAt))
            {
                continue;
            }

            var stored = new Dictionary<(string Type, string Id), ResourceRow> { [(row.Type, row.Id)] = row };
            await ResourceWriter.PutAsync(store, stored, resource, owner, null, revision.ReceivedAt, cancellationToken);
            if (resource is FhirTask)
            {
                var referral = await store.Referrals.SingleOrDefaultAsync(each => each.TaskId == row.Id, cancellationToken);
                if (referral is not null)
                {
                    referral.TaskStatus = "cancelled";
                }
            }
        }
    }

    /// <summary>Marks the resource as no longer true. False when it says so already, or when its end is not ours to change.</summary>
    private static bool Mark(Resource resource, DateTimeOffset now)
    {
        switch (resource)
        {
            case Observation { Status: not ObservationStatus.EnteredInError } observation:
                observation.Status = ObservationStatus.EnteredInError;
                return true;
            case Procedure { Status: not EventStatus.EnteredInError } procedure:
                procedure.Status = EventStatus.EnteredInError;
                return true;
            case Media { Status: not EventStatus.EnteredInError } media:
                media.Status = EventStatus.EnteredInError;
                return true;
            case Composition { Status: not CompositionStatus.EnteredInError } composition:
                composition.Status = CompositionStatus.EnteredInError;
                return true;
            case Condition condition when condition.VerificationStatus?.Coding.Any(coding => coding.Code == "entered-in-error") is not true:
                // Invariant con-5 of FHIR R4: no clinical status on what was entered in error.
                condition.ClinicalStatus = null;
                condition.VerificationStatus = new CodeableConcept(VerificationStatus, "entered-in-error");
                return true;
            case ServiceRequest { Status: not (RequestStatus.Revoked or RequestStatus.Completed or RequestStatus.EnteredInError) } request:
                request.Status = RequestStatus.Revoked;
                return true;
            case FhirTask
            {
                Status: not (FhirTask.TaskStatus.Cancelled or FhirTask.TaskStatus.Completed or FhirTask.TaskStatus.Rejected
                or FhirTask.TaskStatus.Failed or FhirTask.TaskStatus.EnteredInError)
            } task:
                // What the receiver has ended stays as the receiver reported it.
                task.Status = FhirTask.TaskStatus.Cancelled;
                task.StatusReason = new CodeableConcept { Text = "A correction of the encounter needs no referral." };
                task.LastModifiedElement = new FhirDateTime(now);
                return true;
            default:
                return false;
        }
    }
}
