using System.Text.Json;
using EarReferral.Referrals.States;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;

namespace EarReferral.Delivery.Working;

/// <summary>Asks right before each attempt whether the clinic has taken the referral back.</summary>
internal sealed class Withdrawals(ReferralStore referrals, ResourceStore resources)
{
    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    /// <summary>A sentence for the worklist when it must not be sent; null when it may.</summary>
    public async Task<string?> FindAsync(string referralId, CancellationToken cancellationToken)
    {
        var referral = await referrals.FindAsync(Everywhere, referralId, cancellationToken);
        var request = await resources.ReadAsync(Everywhere, "ServiceRequest", referralId, cancellationToken);
        return (Execution(referral?.TaskStatus), Authorisation(request?.Json)) switch
        {
            (ExecutionStatus.EnteredInError, _) or (_, AuthorisationStatus.EnteredInError) => "The referral was entered in error; nothing more was sent.",
            (ExecutionStatus.Cancelled, _) or (_, AuthorisationStatus.Revoked) => "The clinic took the referral back; nothing more was sent.",
            _ => null,
        };
    }

    private static ExecutionStatus? Execution(string? code) => code is null ? null : StateCodes.Execution(code);

    private static AuthorisationStatus? Authorisation(string? json)
    {
        if (json is null)
        {
            return null;
        }

        using var document = JsonDocument.Parse(json);
        return document.RootElement.TryGetProperty("status", out var status) && status.GetString() is { } code ? StateCodes.Authorisation(code) : null;
    }
}
