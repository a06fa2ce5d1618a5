using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>The clinic's answer to a question of the receiver, as a Communication that belongs to the shared Task.</summary>
public static class ReplyMapper
{
    /// <summary>Maps it; the same answer to the same question has the same id.</summary>
    /// <param name="task">The shared Task; its owner asked, its requester answers.</param>
    /// <param name="person">Who answers, by name.</param>
    /// <param name="text">The answer.</param>
    /// <param name="at">When it was given.</param>
    /// <exception cref="InvalidOperationException">The Task lacks what every Task of ours has.</exception>
    public static Communication Map(Hl7.Fhir.Model.Task task, string person, string text, DateTimeOffset at)
    {
        ArgumentNullException.ThrowIfNull(task);
        var id = EncounterIdentity.NameBased(Guid.Parse(task.Id ?? throw new InvalidOperationException("A Task without id.")), $"reply/{at.ToUniversalTime():O}/{person}/{text}").ToString();
        return Map(task, id, person, text, at, "Answers the question of the receiver.");
    }

    /// <summary>Something that the clinic tells the receiver of a referral.</summary>
    internal static Communication Map(Hl7.Fhir.Model.Task task, string id, string person, string text, DateTimeOffset at, string purpose)
    {
        var reply = ResourceStamp.Stamp(new Communication(), id, "ear-communication");
        reply.Identifier = [ResourceStamp.Own(reply)];
        reply.BasedOn = [Copy(task.Focus)];
        reply.PartOf = [ResourceStamp.To(task)];
        reply.Status = EventStatus.Completed;
        reply.Subject = Copy(task.For);
        reply.Encounter = task.Encounter is null ? null : Copy(task.Encounter);
        reply.Sent = ResourceStamp.Iso(at);
        reply.Sender = Copy(task.Requester);
        reply.Recipient = [Copy(task.Owner)];
        reply.Payload = [new Communication.PayloadComponent { Content = new FhirString(text) }];
        reply.Note = [new Annotation { Author = new FhirString(person), Text = purpose }];
        return reply;
    }

    private static ResourceReference Copy(ResourceReference? reference) =>
        new(reference?.Reference ?? throw new InvalidOperationException("A Task of ours names request, patient, requester and owner."));
}
