using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Referrals.States;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Gateway.Referrals;

/// <summary>The clinic wants a referral no more: who says so, why, and whom at the receiver they told.</summary>
internal sealed record Cancellation
{
    [Description("Who cancels it, by name.")]
    public string? Person { get; init; }

    [Description("In which role, such as audiologist.")]
    public string? Role { get; init; }

    [Description("referredElsewhere, treatedElsewhere, patientDeclined, patientDied, notNeeded or enteredInError.")]
    public string? Reason { get; init; }

    [Description("Why, in the person's own words; kept with the request.")]
    public string? Text { get; init; }

    [Description("Whom at the receiver the person told. Required when the receiver has it or may have it, and always once it works on it.")]
    public string? Told { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
        // A cancellation says the same as a closing, but an outcome that was read ends nothing that is still to come.
        [.. new Closure { Person = Person, Role = Role, Reason = Reason == "outcomeRead" ? null : Reason, Text = Text, Told = Told }.Problems()];

    /// <summary>The shared Task while the receiver is asked to stop: its status is the receiver's, only the finer state is ours.</summary>
    public static FhirTask Asked(FhirTask ours)
    {
        var task = (FhirTask)ours.DeepCopy();
        task.BusinessStatus = new CodeableConcept(StateCodes.BusinessStatusSystem, BusinessStatus.CancelRequested.Code());
        return task;
    }

    /// <summary>The abort Task (FHIR R4 code system task-code) that asks the receiver to stop.</summary>
    public FhirTask Abort(FhirTask ours, DateTimeOffset now)
    {
        var id = EncounterIdentity.NameBased(Guid.Parse(ours.Id!), "abort").ToString();
        return new FhirTask
        {
            Id = id,
            Identifier = [new Identifier(Canonicals.ResourceIdentifier, id)],
            Status = FhirTask.TaskStatus.Requested,
            Intent = FhirTask.TaskIntent.Order,
            Code = new CodeableConcept("http://hl7.org/fhir/CodeSystem/task-code", "abort"),
            Focus = new ResourceReference($"Task/{ours.Id}"),
            For = ours.For,
            Requester = ours.Requester,
            Owner = ours.Owner,
            AuthoredOnElement = new FhirDateTime(now),
            LastModifiedElement = new FhirDateTime(now),
            ReasonCode = new CodeableConcept { Text = Reason },
        };
    }
}
