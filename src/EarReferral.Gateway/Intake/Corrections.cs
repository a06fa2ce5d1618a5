using System.Globalization;
using System.Security.Cryptography;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Referral;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Intake;

/// <summary>Writes what a receiver is sent that has or may have an earlier request.</summary>
internal static class Corrections
{
    /// <summary>The correction that a judged revision makes of it.</summary>
    /// <param name="judgement">The revision; without a referral the earlier one is taken back.</param>
    /// <param name="seeds">Identities kept for the encounter.</param>
    /// <param name="earlier">What the receiver has or may have.</param>
    /// <param name="way">What it can take.</param>
    /// <param name="at">When it was corrected.</param>
    public static Correction Of(Judgement judgement, IdentitySeeds seeds, ReadOnlyMemory<byte> earlier, CorrectionWay way, DateTimeOffset at)
    {
        var revision = judgement.Encounter.Revision;
        if (judgement is not { Referral: { } referral, Request: { } corrected })
        {
            return Withdrawal(seeds.Encounter, revision, earlier, inError: false, way, at);
        }

        return way == CorrectionWay.Update
            ? Made(CorrectionBundle.Update(earlier, corrected), seeds.Encounter, revision, null)
            : Made(CorrectionBundle.Replacement(earlier, corrected, revision, at), seeds.Encounter, revision, CorrectionBundle.ReplacementId(referral.Task.Id!, revision));
    }

    /// <summary>Takes back what a receiver has or may have.</summary>
    public static Correction Withdrawal(Guid encounter, int revision, ReadOnlyMemory<byte> earlier, bool inError, CorrectionWay way, DateTimeOffset at) =>
        Made(CorrectionBundle.Withdrawal(earlier, inError, way == CorrectionWay.Update, at), encounter, revision, null);

    private static Correction Made(byte[] request, Guid encounter, int revision, string? task) => new(
        request,
        Convert.ToHexStringLower(SHA256.HashData(request)),
        EncounterIdentity.NameBased(encounter, string.Create(CultureInfo.InvariantCulture, $"idempotency/{revision}/correction")).ToString(),
        task);
}
