using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Sandbox.Http;
using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Answering;

/// <summary>Updates Tasks at the gateway, each from the version that was seen (FHIR R4, RESTful API, managing resource contention).</summary>
internal sealed class GatewayTasks(HttpClient http, Uri callback)
{
    private readonly string endpoint = $"{callback.AbsoluteUri.TrimEnd('/')}/Task";

    public async Task<AnswerResult> TellAsync(IdentifierToken identifier, AnswerStep step, DateTimeOffset now, CancellationToken stop)
    {
        try
        {
            using var search = new HttpRequestMessage(HttpMethod.Get, $"{endpoint}?identifier={Uri.EscapeDataString(identifier.ToString())}");
            search.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue(FhirJson.MediaType));
            using var found = await http.SendAsync(search, stop);
            if (!found.IsSuccessStatusCode)
            {
                return new AnswerResult.Postponed($"search answered {(int)found.StatusCode}");
            }

            return JsonNode.Parse(await found.Content.ReadAsStringAsync(stop)) is JsonObject bundle
                && bundle["entry"] is JsonArray { Count: 1 } entries
                && entries[0]?["resource"] is JsonObject task
                ? await UpdateAsync(task, step, now, stop)
                : new AnswerResult.Postponed("search did not find exactly one Task");
        }
        catch (HttpRequestException problem)
        {
            return new AnswerResult.Postponed(problem.HttpRequestError.ToString());
        }
        catch (JsonException)
        {
            return new AnswerResult.Postponed("search did not answer with JSON");
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            return new AnswerResult.Postponed("no answer in time");
        }
    }

    private async Task<AnswerResult> UpdateAsync(JsonObject task, AnswerStep step, DateTimeOffset now, CancellationToken stop)
    {
        var status = (string?)task["status"];
        if (!TaskAnswer.MayFollow(status, step))
        {
            return new AnswerResult.Overtaken(status ?? "without status");
        }

        if ((string?)task["id"] is not { } id || (string?)task["meta"]?["versionId"] is not { } version)
        {
            return new AnswerResult.Postponed("the Task has no id or version");
        }

        using var update = new HttpRequestMessage(HttpMethod.Put, $"{endpoint}/{id}")
        {
            Content = new StringContent(TaskAnswer.Apply(task, step, now).ToJsonString(), Encoding.UTF8, FhirJson.MediaType),
        };
        update.Headers.IfMatch.Add(new EntityTagHeaderValue($"\"{version}\"", isWeak: true));
        update.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue(FhirJson.MediaType));
        using var answer = await http.SendAsync(update, stop);
        return answer.IsSuccessStatusCode ? new AnswerResult.Told() : new AnswerResult.Postponed($"update answered {(int)answer.StatusCode}");
    }
}
