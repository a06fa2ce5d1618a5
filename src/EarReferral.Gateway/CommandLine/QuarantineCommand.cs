using System.CommandLine;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>quarantine</c>: what our own profiles refused, and another look at it, through the running service.</summary>
internal static class QuarantineCommand
{
    /// <summary>The verb with its own verbs.</summary>
    /// <param name="urls">Address of the running service.</param>
    /// <param name="results">Where results go.</param>
    /// <param name="complaints">Where complaints go.</param>
    public static Command Create(Option<string> urls, TextWriter results, TextWriter complaints)
    {
        var json = new Option<bool>("--json") { Description = "Print the answer as JSON." };
        var list = new Command("list", "Lists what is in quarantine, oldest first.") { urls, json };
        list.SetAction((parsed, stop) => ReferralsCommand.Ask(parsed.GetValue(urls)!, results, complaints, service => service.AskAsync(HttpMethod.Get, "/quarantine?count=200", null, parsed.GetValue(json) ? null : Lines, null, stop)));

        var id = new Argument<string>("ID") { Description = "Id of the encounter." };
        var show = new Command("show", "Shows one with every look at it and what it found; the issues may quote the record.") { id, urls, json };
        show.SetAction((parsed, stop) => ReferralsCommand.Ask(parsed.GetValue(urls)!, results, complaints, service => service.AskAsync(HttpMethod.Get, Path(parsed.GetValue(id)!), null, parsed.GetValue(json) ? null : Looks, null, stop)));

        var person = new Option<string>("--person") { Required = true, Description = "Who asks, by name." };
        var reason = new Option<string>("--reason") { Required = true, Description = "Why now: what was mended." };
        var accept = new Option<string>("--accept-tier") { Description = "Tier of today where it is less urgent than the one the clinic was told." };
        var revalidate = new Command("revalidate", "Has one looked at again; when it passes it is released and its referral sent.") { id, person, reason, accept, urls, json };
        revalidate.SetAction((parsed, stop) => ReferralsCommand.Ask(parsed.GetValue(urls)!, results, complaints, service =>
        {
            var body = new JsonObject { ["person"] = parsed.GetValue(person), ["reason"] = parsed.GetValue(reason) };
            if (parsed.GetValue(accept) is { } tier)
            {
                body["acceptTier"] = tier;
            }

            return service.AskAsync(HttpMethod.Post, $"{Path(parsed.GetValue(id)!)}/revalidate", body, parsed.GetValue(json) ? null : Looks, null, stop);
        }));

        return new Command("quarantine", "Visits whose record our own profiles refused.") { list, show, revalidate };
    }

    private static string Path(string id) => $"/quarantine/{Uri.EscapeDataString(id)}";

    private static IEnumerable<string> Lines(JsonNode answer) => answer["items"]!.AsArray().Select(item => Line(item!));

    private static string Line(JsonNode item) =>
        $"{item["id"]}  {item["tier"],-3}  {item["state"],-11}  {item["checks"]} look(s)  {string.Join(' ', item["rules"]!.AsArray())}{((bool)item["phoneNow"]! ? "  PHONE NOW" : "")}";

    private static IEnumerable<string> Looks(JsonNode answer) =>
    [
        Line(answer["record"]!),
        .. answer["checks"]!.AsArray().SelectMany(check => check!["issues"]!.AsArray()
            .Select(issue => $"    {issue!["severity"]} {issue["rule"]} at {issue["location"]}")
            .Prepend($"{check["at"]}  {((bool)check["passed"]! ? "passed" : "refused")}{(check["person"] is { } by ? $", asked for by {by}" : "")}")),
    ];
}
