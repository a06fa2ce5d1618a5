using System.Globalization;
using System.Text.Json;
using EarReferral.Storage.Referrals;

namespace EarReferral.Delivery.Notices;

/// <summary>Says that a referral has changed and nothing of what it is about; the clinic's software then reads it.</summary>
/// <param name="Id">The same at every try; a receiver drops repeats by it.</param>
/// <param name="Clinic">The clinic.</param>
/// <param name="Reference">Id of the referral.</param>
/// <param name="Tier">Its urgency.</param>
/// <param name="ChangedAt">When it changed last.</param>
/// <param name="Asks">True while the receiver waits for an answer of the clinic.</param>
internal sealed record ReferralNotice(string Id, string Clinic, string Reference, string Tier, DateTimeOffset ChangedAt, bool Asks)
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web);

    /// <summary>Kind of message.</summary>
    public string Kind { get; } = "referral-changed";

    /// <summary>The notice about a referral as it stands.</summary>
    public static ReferralNotice Of(StoredReferral referral) => new(
        string.Create(CultureInfo.InvariantCulture, $"referral/{referral.ReferralId}/{referral.ChangedAt.ToUnixTimeMilliseconds()}"),
        referral.ClinicId,
        referral.ReferralId,
        referral.Tier,
        referral.ChangedAt,
        referral.BusinessStatus == "awaiting-information");

    /// <summary>Body of the webhook.</summary>
    public byte[] Json() => JsonSerializer.SerializeToUtf8Bytes(this, Web);
}
