using System.Text.Json;
using System.Text.Json.Serialization;

namespace EarReferral.Delivery.Alarms;

/// <summary>All that a message about an alarm says. It crosses networks that no patient data may cross: reference, urgency and age, nothing clinical.</summary>
/// <param name="Id">Id of the message, the same at every try; a receiver drops repeats by it.</param>
/// <param name="Kind"><c>alarm</c> or <c>test</c>.</param>
/// <param name="Alarm">Id of the alarm, under which it is acknowledged.</param>
/// <param name="What">Stable word for the trouble, such as <c>delivery-overdue</c>.</param>
/// <param name="Clinic">Clinic that must act, where it is one's.</param>
/// <param name="Reference">Id of the referral, where it is about one.</param>
/// <param name="Tier">Urgency, where there is one.</param>
/// <param name="AgeMinutes">How long the trouble has stood, in whole minutes.</param>
/// <param name="Step">How often somebody was told before.</param>
internal sealed record AlarmNotice(string Id, string Kind, string? Alarm, string What, string? Clinic, string? Reference, string? Tier, long AgeMinutes, int Step)
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web) { DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull };

    /// <summary>Body of a webhook.</summary>
    public byte[] Json() => JsonSerializer.SerializeToUtf8Bytes(this, Web);
}
