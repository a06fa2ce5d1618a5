using System.CommandLine;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>destinations</c>: what the running service knows of receivers.</summary>
internal static class DestinationsCommand
{
    /// <summary>The verb with its own verbs.</summary>
    public static Command Create(Option<string> urls, TextWriter results, TextWriter complaints)
    {
        var json = new Option<bool>("--json") { Description = "Print the answer as JSON." };
        var list = new Command("list", "Lists the configured destinations.") { urls, json };
        list.SetAction((parsed, stop) => ReferralsCommand.Ask(parsed.GetValue(urls)!, results, complaints, service => service.AskAsync(
            HttpMethod.Get, "/destinations", null, parsed.GetValue(json) ? null : answer => answer["items"]!.AsArray().Select(item => Line(item!)), null, stop)));

        var name = new Argument<string>("NAME") { Description = "Name of the destination in the configuration." };
        var accept = new Option<bool>("--accept") { Description = "Accept another way of sending than before." };
        var verify = new Command("verify", "Reads the destination's capability statement and keeps how referrals are sent there. Exit code 1: something stands against it, and it is parked.") { name, urls, accept, json };
        verify.SetAction((parsed, stop) => ReferralsCommand.Ask(parsed.GetValue(urls)!, results, complaints, service => service.AskAsync(
            HttpMethod.Post, $"/destinations/{Uri.EscapeDataString(parsed.GetValue(name)!)}/verification{(parsed.GetValue(accept) ? "?accept=true" : "")}", null, parsed.GetValue(json) ? null : answer => [Line(answer)], null, stop)));
        return new Command("destinations", "Receivers of the running service.") { list, verify };
    }

    private static string Line(JsonNode item) => $"{item["name"]}: {item["mode"]?.ToString() ?? "not verified"}{((bool)item["parked"]! ? ", PARKED" : "")}, {item["organization"]}, verified {item["verifiedAt"]?.ToString() ?? "never"}";
}
