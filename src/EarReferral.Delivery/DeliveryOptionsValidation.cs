using Microsoft.Extensions.Options;

namespace EarReferral.Delivery;

/// <summary>Refuses a configuration that could let a referral get stuck in silence.</summary>
internal sealed class DeliveryOptionsValidation : IValidateOptions<DeliveryOptions>
{
    public ValidateOptionsResult Validate(string? name, DeliveryOptions options)
    {
        var problems = options.Destinations.SelectMany(destination => Problems(destination.Key, destination.Value)).ToList();
        if (options.Lease < TimeSpan.FromSeconds(10))
        {
            problems.Add("Delivery:Lease must be at least 10 seconds.");
        }

        if (options.LongestSleep < TimeSpan.FromSeconds(1) || options.LongestSleep > TimeSpan.FromMinutes(5))
        {
            problems.Add("Delivery:LongestSleep must lie between 1 second and 5 minutes.");
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

        if (string.IsNullOrWhiteSpace(destination.Phone))
        {
            yield return $"{place}:Phone is missing: an emergency (T0) or immediate (T1) referral needs a number to call when it cannot be delivered.";
        }

        if (destination.AttemptTimeout < TimeSpan.FromSeconds(1) || destination.AttemptTimeout > TimeSpan.FromMinutes(5))
        {
            yield return $"{place}:AttemptTimeout must lie between 1 second and 5 minutes.";
        }

        if (destination.Lanes is < 1 or > 16)
        {
            yield return $"{place}:Lanes must lie between 1 and 16.";
        }
    }

    private static bool IsAcceptable(Uri url) =>
        (url.Scheme == Uri.UriSchemeHttps || (url.Scheme == Uri.UriSchemeHttp && url.IsLoopback))
        && url.Query.Length == 0 && url.Fragment.Length == 0 && url.UserInfo.Length == 0;
}
