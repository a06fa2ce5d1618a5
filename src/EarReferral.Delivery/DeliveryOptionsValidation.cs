using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Authorisation;
using EarReferral.Delivery.Destinations;
using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Clocks;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery;

/// <summary>Refuses a configuration that could let a referral get stuck in silence.</summary>
internal sealed class DeliveryOptionsValidation : IValidateOptions<DeliveryOptions>
{
    public ValidateOptionsResult Validate(string? name, DeliveryOptions options)
    {
        var problems = options.Destinations.SelectMany(destination => Problems(destination.Key, destination.Value)).ToList();
        problems.AddRange(options.Routes.SelectMany((route, index) => Problems(index, route, options)));
        if (options.AdultFromAge is < 1 or > 21)
        {
            problems.Add("Delivery:AdultFromAge must lie between 1 and 21 years.");
        }

        if (options.Lease < TimeSpan.FromSeconds(10))
        {
            problems.Add("Delivery:Lease must be at least 10 seconds.");
        }

        if (options.LongestSleep < TimeSpan.FromSeconds(1) || options.LongestSleep > TimeSpan.FromMinutes(5))
        {
            problems.Add("Delivery:LongestSleep must lie between 1 second and 5 minutes.");
        }

        foreach (var (clinic, notice) in options.Notices)
        {
            if (notice.Url is not { } url || !AlarmOptionsValidation.IsSafe(url))
            {
                problems.Add($"Delivery:Notices:{clinic}:Url must be an absolute https address without a user; http is accepted for this machine only.");
            }

            if (Secrets.Read(notice.Secret, notice.SecretFile) is not { Length: >= 32 })
            {
                problems.Add($"Delivery:Notices:{clinic}:SecretFile must name a readable file with at least 32 characters.");
            }

            if (notice.Timeout < TimeSpan.FromSeconds(1) || notice.Timeout > TimeSpan.FromMinutes(1))
            {
                problems.Add($"Delivery:Notices:{clinic}:Timeout must lie between 1 second and 1 minute.");
            }
        }

        return problems.Count == 0 ? ValidateOptionsResult.Success : ValidateOptionsResult.Fail(problems);
    }

    private static IEnumerable<string> Problems(string name, DestinationOptions destination)
    {
        var place = $"Delivery:Destinations:{name}";
        if (destination.BaseUrl is not { IsAbsoluteUri: true } url || !IsAcceptable(url))
        {
            yield return $"{place}:BaseUrl must be an absolute https address without query, fragment or user; http is accepted for this machine only.";
        }

        if (string.IsNullOrWhiteSpace(destination.OdsCode))
        {
            yield return $"{place}:OdsCode is missing.";
        }

        if (string.IsNullOrWhiteSpace(destination.Name))
        {
            yield return $"{place}:Name is missing.";
        }

        var takesUrgent = destination.Takes("T0") || destination.Takes("T1");
        if (takesUrgent && string.IsNullOrWhiteSpace(destination.Phone))
        {
            yield return $"{place}:Phone is missing: an emergency (T0) or immediate (T1) referral needs a number to call when it cannot be delivered.";
        }

        if (destination.OpeningHours is { } hours && OpeningHours.Parse(hours) is null)
        {
            yield return $"{place}:OpeningHours must read like 'Mon-Fri 08:30-17:00; Sat 09:00-12:00'.";
        }

        if (takesUrgent && destination.OpeningHours is not null && string.IsNullOrWhiteSpace(destination.OutOfHoursPhone))
        {
            yield return $"{place}:OutOfHoursPhone is missing: an emergency (T0) or immediate (T1) referral needs a number that is answered outside the opening hours.";
        }

        foreach (var tier in destination.Tiers.Where(tier => UrgencyTiers.Read(tier) is null))
        {
            yield return $"{place}:Tiers names '{tier}', which is none of T0, T1, T2, T2C and T3.";
        }

        foreach (var priority in destination.AcceptedPriorities.Where(priority => priority is not ("routine" or "urgent" or "asap" or "stat")))
        {
            yield return $"{place}:AcceptedPriorities names '{priority}', which is none of routine, urgent, asap and stat.";
        }

        if (destination.Kind is not ("ent" or "gp" or "audiology" or "emergency" or "crisis-team"))
        {
            yield return $"{place}:Kind must be ent, gp, audiology, emergency or crisis-team.";
        }

        foreach (var problem in destination.Token is { } token ? Problems(place, token) : [])
        {
            yield return problem;
        }

        if (destination.AttemptTimeout < TimeSpan.FromSeconds(1) || destination.AttemptTimeout > TimeSpan.FromMinutes(5))
        {
            yield return $"{place}:AttemptTimeout must lie between 1 second and 5 minutes.";
        }

        if (destination.SettlingTime < TimeSpan.FromSeconds(1) || destination.SettlingTime > TimeSpan.FromMinutes(5))
        {
            yield return $"{place}:SettlingTime must lie between 1 second and 5 minutes.";
        }

        if (destination.Lanes is < 1 or > 16)
        {
            yield return $"{place}:Lanes must lie between 1 and 16.";
        }
    }

    private static IEnumerable<string> Problems(string place, TokenOptions token)
    {
        var isAddress = token.Url is { IsAbsoluteUri: true } url && IsAcceptable(url);
        if (!isAddress)
        {
            yield return $"{place}:Token:Url must be an absolute https address without query, fragment or user; http is accepted for this machine only.";
        }

        if (string.IsNullOrWhiteSpace(token.ClientId))
        {
            yield return $"{place}:Token:ClientId is missing.";
        }

        if (string.IsNullOrWhiteSpace(token.Scope))
        {
            yield return $"{place}:Token:Scope is missing.";
        }

        if (string.IsNullOrWhiteSpace(token.KeyFile))
        {
            yield return $"{place}:Token:KeyFile is missing.";
        }
        else if (isAddress && ClientAssertion.Problem(token) is { } problem)
        {
            yield return $"{place}:Token:KeyFile cannot be used: {problem}";
        }
    }

    private static IEnumerable<string> Problems(int index, RouteOptions route, DeliveryOptions options)
    {
        var place = $"Delivery:Routes:{index}";
        if (!options.Destinations.TryGetValue(route.Destination, out var destination))
        {
            yield return $"{place}:Destination names '{route.Destination}', which is not among Delivery:Destinations.";
            yield break;
        }

        foreach (var tier in route.Tiers.Where(tier => UrgencyTiers.Read(tier) is null))
        {
            yield return $"{place}:Tiers names '{tier}', which is none of T0, T1, T2, T2C and T3.";
        }

        // A route that names no tier sends every tier.
        var sent = route.Tiers.Count == 0 ? (IEnumerable<string>)["T0", "T1", "T2", "T2C", "T3"] : route.Tiers;
        foreach (var tier in sent.Where(tier => UrgencyTiers.Read(tier) is not null && !destination.Takes(tier)))
        {
            yield return $"{place} sends {tier} to '{route.Destination}', which does not take it.";
        }
    }

    private static bool IsAcceptable(Uri url) =>
        (url.Scheme == Uri.UriSchemeHttps || (url.Scheme == Uri.UriSchemeHttp && url.IsLoopback))
        && url.Query.Length == 0 && url.Fragment.Length == 0 && url.UserInfo.Length == 0;
}
