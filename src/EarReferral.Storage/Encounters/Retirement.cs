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

    private static readonly string[] Types = ["Observation", "Procedure", "Condition", "Composition", "DocumentReference", "Consent", "Media", "ServiceRequest", "Task"];

    /// <summary>A retraction takes the visit itself back too.</summary>
    private static readonly string[] TypesOfRetraction = [.. Types, "Encounter"];

    /// <summary>Retires the encounter's resources that are not among those of the revision; all of them when it retracts the encounter.</summary>
    public static async System.Threading.Tasks.Task RetireAsync(
        StoreContext store, EncounterRevision revision, ResourceOwner owner, CancellationToken cancellationToken)
    {
        var carried = revision.Resources.Select(resource => (resource.TypeName, resource.Id!)).ToHashSet();
        var types = revision.Retraction is null ? Types : TypesOfRetraction;
        var rows = await store.Resources
            .Where(row => row.EncounterKey == revision.EncounterKey && types.Contains(row.Type))
            .OrderBy(row => row.Type).ThenBy(row => row.Id)
            .ToListAsync(cancellationToken);
        var marked = new List<ResourceRow>();
        foreach (var row in rows.Where(row => !carried.Contains((row.Type, row.Id))))
        {
            var json = await store.ResourceVersions
                .Where(version => version.ResourceKey == row.Key && version.Version == row.Version)
                .Select(version => version.Json)
                .SingleAsync(cancellationToken);
            var resource = ResourceJson.Parse(json);
            if (!(revision.Retraction is null ? Mark(resource, revision.ReceivedAt) : MarkInError(resource, revision.ReceivedAt)))
            {
                continue;
            }

            marked.Add(row);

            var stored = new Dictionary<(string Type, string Id), ResourceRow> { [(row.Type, row.Id)] = row };
            await ResourceWriter.PutAsync(store, stored, resource, owner, null, revision.ReceivedAt, cancellationToken);
            if (resource is FhirTask)
            {
                var referral = await store.Referrals.SingleOrDefaultAsync(each => each.TaskId == row.Id, cancellationToken);
                if (referral is not null)
                {
                    referral.TaskStatus = revision.Retraction is null ? "cancelled" : "entered-in-error";
                }
            }
        }

        if (revision.Retraction is { } template && marked.Count > 0)
        {
            var provenance = (Provenance)template.DeepCopy();
            provenance.Target = [.. marked.Select(row => new ResourceReference($"{row.Type}/{row.Id}"))];
            await ResourceWriter.PutAsync(store, [], provenance, owner, null, revision.ReceivedAt, cancellationToken);
        }
    }

    /// <summary>
    /// Marks the resource as one that should never have existed. The placer may write entered-in-error over every status of a Task
    /// but itself (the matrix of the referral stage): the receiver's work was about a record that is none.
    /// </summary>
    private static bool MarkInError(Resource resource, DateTimeOffset now)
    {
        switch (resource)
        {
            case Encounter { Status: not Encounter.EncounterStatus.EnteredInError } encounter:
                encounter.Status = Encounter.EncounterStatus.EnteredInError;
                return true;
            case ServiceRequest { Status: not RequestStatus.EnteredInError } request:
                request.Status = RequestStatus.EnteredInError;
                return true;
            case FhirTask { Status: not FhirTask.TaskStatus.EnteredInError } task:
                task.Status = FhirTask.TaskStatus.EnteredInError;
                task.StatusReason = new CodeableConcept { Text = "The clinic retracted the encounter." };
                task.LastModifiedElement = new FhirDateTime(now);
                return true;
            default:
                return Mark(resource, now);
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
            case Consent { Status: not Consent.ConsentState.EnteredInError } consent:
                consent.Status = Consent.ConsentState.EnteredInError;
                return true;
            case Composition { Status: not CompositionStatus.EnteredInError } composition:
                composition.Status = CompositionStatus.EnteredInError;
                return true;
            case DocumentReference { Status: not DocumentReferenceStatus.EnteredInError } document:
                document.Status = DocumentReferenceStatus.EnteredInError;
                document.DocStatus = CompositionStatus.EnteredInError;
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
            } task when task.Code?.Coding.Any(coding => coding.Code == "abort") is not true:
                // A request to stop stands until the receiver answers it. What the receiver has ended stays as the receiver reported it.
                task.Status = FhirTask.TaskStatus.Cancelled;
                task.StatusReason = new CodeableConcept { Text = "A correction of the encounter needs no referral." };
                task.LastModifiedElement = new FhirDateTime(now);
                return true;
            default:
                return false;
        }
    }
}
