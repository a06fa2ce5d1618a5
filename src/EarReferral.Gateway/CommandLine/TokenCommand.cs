using System.CommandLine;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;

namespace EarReferral.Gateway.CommandLine;

/// <summary>Prints an access token of a demo client, for scripts. Clients of a real installation keep their own keys.</summary>
internal static class TokenCommand
{
    /// <summary>The verb.</summary>
    public static Command Create(Option<string> urls, Option<DirectoryInfo> data, TextWriter results, TextWriter complaints)
    {
        var client = new Option<string>("--client") { Description = $"One of {string.Join(", ", DemoClients.Ids)}.", Required = true };
        var command = new Command("token", "Prints an access token of a demo client, good for five minutes. The demo must run on the same folder.") { client, urls, data };
        command.SetAction((parsed, stop) => RunAsync(parsed.GetValue(client)!, new Uri(parsed.GetValue(urls)!), parsed.GetValue(data)!.FullName, results, complaints, stop));
        return command;
    }

    private static async Task<int> RunAsync(string client, Uri service, string dataFolder, TextWriter results, TextWriter complaints, CancellationToken stop)
    {
        var address = new Uri(service, Security.Tokens.TokenAddress.Path);
        if (!DemoClients.Ids.Contains(client) || DemoClients.Assertion(dataFolder, client, address, TimeProvider.System.GetUtcNow()) is not { } assertion)
        {
            await complaints.WriteLineAsync($"There is no key of a demo client {client} in {dataFolder}. Start the demo on this folder first.");
            return ExitCode.Usage;
        }

        using var http = new HttpClient();
        using var form = new FormUrlEncodedContent(new Dictionary<string, string>
        {
            ["grant_type"] = "client_credentials",
            ["scope"] = DemoClients.Scopes(client),
            ["client_assertion_type"] = "urn:ietf:params:oauth:client-assertion-type:jwt-bearer",
            ["client_assertion"] = assertion,
        });
        try
        {
            using var response = await http.PostAsync(address, form, stop);
            var answer = JsonNode.Parse(await response.Content.ReadAsStringAsync(stop));
            if (response.IsSuccessStatusCode)
            {
                await results.WriteLineAsync((string?)answer?["access_token"]);
                return ExitCode.Done;
            }

            await complaints.WriteLineAsync($"{(string?)answer?["error"]}: {(string?)answer?["error_description"]}");
            return ExitCode.Failed;
        }
        catch (Exception silent) when (silent is HttpRequestException or System.Text.Json.JsonException)
        {
            await complaints.WriteLineAsync($"{service} does not answer as the service does. Is it running, and is --urls its address?");
            return ExitCode.Unreachable;
        }
    }
}
