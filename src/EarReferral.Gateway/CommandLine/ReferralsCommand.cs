using System.CommandLine;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>referrals</c>: what an operator sees and does, through the running service.</summary>
internal static class ReferralsCommand
{
    /// <summary>The verb with its own verbs.</summary>
    /// <param name="urls">Address of the running service.</param>
    /// <param name="results">Where results go.</param>
    /// <param name="complaints">Where complaints go.</param>
    public static Command Create(Option<string> urls, TextWriter results, TextWriter complaints)
    {
        var json = new Option<bool>("--json") { Description = "Print the answer as JSON." };
        var list = new Command("list", "Lists referrals by time of change.") { urls, json };
        list.SetAction((parsed, stop) => Ask(parsed.GetValue(urls)!, results, complaints, service => service.AskAsync(HttpMethod.Get, "/referrals?count=200", null, parsed.GetValue(json) ? null : Lines, null, stop)));

        var id = new Argument<string>("ID") { Description = "Id of the referral." };
        var show = new Command("show", "Shows one referral and every attempt to send it.") { id, urls, json };
        show.SetAction((parsed, stop) => Ask(parsed.GetValue(urls)!, results, complaints, async service =>
        {
            var path = Path(parsed.GetValue(id)!);
            var shown = await service.AskAsync(HttpMethod.Get, path, null, parsed.GetValue(json) ? null : Timeline, null, stop);
            return shown != ExitCode.Done || parsed.GetValue(json) ? shown : await service.AskAsync(HttpMethod.Get, $"{path}/attempts", null, Attempts, null, stop);
        }));

        return new Command("referrals", "Referrals of the running service.")
        {
            list,
            show,
            Act("resend", "Sends now what waits or stopped for a person.", ["person"]),
            Act("redirect", "Sends a referral to another destination.", ["person", "reason", "destination", "told"]),
            Act("hold", "Keeps back a referral that waits.", ["person", "reason"]),
            Act("release", "Lets a held referral go.", ["person"]),
            Act("cancel", "Cancels a referral, or asks the receiver to stop.", ["person", "role", "reason", "text", "told"]),
            Act("close", "Closes a referral as a clinician, as it stands now.", ["person", "role", "reason", "text", "told"], "closure"),
        };

        Command Act(string name, string description, string[] members, string? address = null)
        {
            var options = members.ToDictionary(member => member, member => new Option<string>($"--{member}") { Required = member != "told", Description = $"Member {member} of POST /referrals/{{id}}/{address ?? name}." });
            var command = new Command(name, description) { id, urls, json };
            foreach (var option in options.Values)
            {
                command.Options.Add(option);
            }

            command.SetAction((parsed, stop) => Ask(parsed.GetValue(urls)!, results, complaints, async service =>
            {
                var body = new JsonObject();
                foreach (var (member, option) in options)
                {
                    if (parsed.GetValue(option) is { } value)
                    {
                        body[member] = value;
                    }
                }

                var path = Path(parsed.GetValue(id)!);
                var tag = name == "close" ? await service.TagAsync(path, stop) : null;
                return await service.AskAsync(HttpMethod.Post, $"{path}/{address ?? name}", body, parsed.GetValue(json) ? null : State, tag, stop);
            }));
            return command;
        }
    }

    internal static async Task<int> Ask(string url, TextWriter results, TextWriter complaints, Func<ServiceClient, Task<int>> ask)
    {
        if (!Uri.TryCreate(url, UriKind.Absolute, out var address) || address.Scheme is not ("http" or "https"))
        {
            await complaints.WriteLineAsync($"'{url}' is not one http or https address.");
            return ExitCode.Usage;
        }

        using var http = new HttpClient { BaseAddress = address, Timeout = TimeSpan.FromSeconds(60) };
        if (Environment.GetEnvironmentVariable("EAR_REFERRAL_TOKEN") is { Length: > 0 } token)
        {
            http.DefaultRequestHeaders.Authorization = new System.Net.Http.Headers.AuthenticationHeaderValue("Bearer", token);
        }

        return await ask(new ServiceClient(http, results, complaints));
    }

    private static string Path(string id) => $"/referrals/{Uri.EscapeDataString(id)}";

    private static IEnumerable<string> Lines(JsonNode answer) => answer["items"]!.AsArray()
        .Select(item => $"{item!["id"]}  {item["tier"],-3}  {item["delivery"],-22}  {item["execution"],-12}  {item["destination"]}  due {item["due"]?.ToString() ?? "-"}");

    private static IEnumerable<string> State(JsonNode answer) => [$"{answer["id"]}: {answer["delivery"]}, {answer["execution"]}, {answer["destination"]}"];

    private static IEnumerable<string> Timeline(JsonNode answer) =>
        [.. State(answer), $"tier {answer["tier"]}, due {answer["due"]?.ToString() ?? "-"}, phone {answer["phone"]} ({answer["phoneWho"]}){((bool)answer["phoneNow"]! ? ", PHONE NOW" : "")}", .. answer["timeline"]!.AsArray().Select(step => $"{step!["at"]}  {step["event"]}  {step["detail"]}")];

    private static IEnumerable<string> Attempts(JsonNode answer) => answer["items"]!.AsArray()
        .Select(attempt => $"{attempt!["at"]}  attempt: {attempt["outcome"]}, status {attempt["status"]?.ToString() ?? "none"}, {attempt["milliseconds"]} ms{string.Concat(attempt["issues"]!.AsArray().Select(issue => $"; {issue!["severity"]} {issue["code"]} {issue["expression"]}"))}");
}
