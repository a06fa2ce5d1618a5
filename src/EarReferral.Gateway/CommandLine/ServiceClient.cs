using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.CommandLine;

/// <summary>Asks the running service, as every verb does that changes state (decision 0006); results on one stream, complaints on the other.</summary>
internal sealed class ServiceClient(HttpClient http, TextWriter results, TextWriter complaints)
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web) { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Asks and prints the answer.</summary>
    /// <param name="method">Verb of HTTP.</param>
    /// <param name="path">Path of the service.</param>
    /// <param name="body">Body; members that are null are left out.</param>
    /// <param name="print">How an answer is printed; null prints it as JSON.</param>
    /// <param name="ifMatch">ETag that the change starts from.</param>
    /// <param name="stop">Stops the wait.</param>
    public async Task<int> AskAsync(HttpMethod method, string path, JsonObject? body, Func<JsonNode, IEnumerable<string>>? print, string? ifMatch, CancellationToken stop)
    {
        using var request = new HttpRequestMessage(method, new Uri(path, UriKind.Relative)) { Content = body is null ? null : JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.TryAddWithoutValidation("If-Match", ifMatch);
        }

        try
        {
            using var response = await http.SendAsync(request, stop);
            var answer = JsonNode.Parse(await response.Content.ReadAsStringAsync(stop)) ?? new JsonObject();
            if (response.IsSuccessStatusCode)
            {
                foreach (var line in print?.Invoke(answer) ?? [answer.ToJsonString(Json)])
                {
                    await results.WriteLineAsync(line);
                }

                return ExitCode.Done;
            }

            await complaints.WriteLineAsync($"{answer["title"]}. {answer["detail"]}");
            foreach (var error in answer["errors"] as JsonArray ?? [])
            {
                await complaints.WriteLineAsync($"  {error!["pointer"]}: {error["detail"]}");
            }

            return ExitCode.Failed;
        }
        catch (Exception silent) when (silent is HttpRequestException or JsonException || (silent is OperationCanceledException && !stop.IsCancellationRequested))
        {
            await complaints.WriteLineAsync($"{http.BaseAddress} does not answer as the service does. Is it running, and is --urls its address?");
            return ExitCode.Unreachable;
        }
    }

    /// <summary>The ETag of a referral; null when there is none or nobody answers, which the change itself then reports.</summary>
    public async Task<string?> TagAsync(string path, CancellationToken stop)
    {
        try
        {
            using var response = await http.GetAsync(new Uri(path, UriKind.Relative), stop);
            return response.Headers.ETag?.ToString();
        }
        catch (HttpRequestException)
        {
            return null;
        }
    }
}
