using System.Collections.Concurrent;
using System.Text;
using System.Text.Json;
using WireMock;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;
using WireMock.Types;
using WireMock.Util;

namespace EarReferral.Delivery.Tests.Fixtures;

/// <summary>A scripted ENT system that keeps what it was sent, once per ServiceRequest identifier, as a server with conditional creation does.</summary>
internal sealed class EntReceiver : IDisposable
{
    private readonly WireMockServer _server = WireMockServer.Start();
    private readonly ConcurrentQueue<Func<IRequestMessage, ResponseMessage>> _script = new();
    private readonly ConcurrentDictionary<string, int> _stored = new(StringComparer.Ordinal);
    private int _created;
    private int _tokens;

    public EntReceiver()
    {
        _server.Given(Request.Create().WithPath("/fhir").UsingPost()).RespondWith(Response.Create().WithCallback(Receive));
        _server.Given(Request.Create().WithPath("/fhir/ServiceRequest/_search").UsingPost()).RespondWith(Response.Create().WithCallback(Search));
        _server.Given(Request.Create().WithPath("/fhir/$process-message").UsingPost()).RespondWith(Response.Create().WithCallback(Process));
        _server.Given(Request.Create().WithPath("/fhir/metadata").UsingGet()).RespondWith(Response.Create().WithCallback(_ => Message(Metadata is null ? 404 : 200, Metadata ?? "<html>no</html>")));
        _server.Given(Request.Create().WithPath("/token").UsingPost()).RespondWith(Response.Create().WithCallback(Token));
        _server.Given(Request.Create().WithPath("/fhir/jobs/1").UsingGet()).RespondWith(Response.Create().WithCallback(Job));
    }

    public Uri BaseUrl => new($"{_server.Url}/fhir");

    public int Port => _server.Port;

    /// <summary>How many ServiceRequests it really created.</summary>
    public int Created => _created;

    /// <summary>Answers of the asynchronous job, one per question.</summary>
    public ConcurrentQueue<Func<IRequestMessage, ResponseMessage>> Jobs { get; } = new();

    /// <summary>True to let searches fail, as on a server without search.</summary>
    public bool CannotSearch { get; set; }

    /// <summary>True while it answers everything with 503.</summary>
    public bool IsDown { get; set; }

    /// <summary>Its capability statement; null while it has none.</summary>
    public string? Metadata { get; set; }

    /// <summary>Answers of its token endpoint, in order; afterwards it gives a numbered token for 300 seconds.</summary>
    public ConcurrentQueue<Func<IRequestMessage, ResponseMessage>> TokenAnswers { get; } = new();

    /// <summary>Every request for a token, oldest first, as the form that was posted.</summary>
    public IReadOnlyList<IReadOnlyDictionary<string, string>> TokenRequests => [.. _server.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Path == "/token").Select(message => Form(message))];

    /// <summary>Every message that arrived, oldest first.</summary>
    public IReadOnlyList<IRequestMessage> Messages => [.. _server.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Path == "/fhir/$process-message")];

    /// <summary>Every transaction that arrived, oldest first.</summary>
    public IReadOnlyList<IRequestMessage> Sends => [.. _server.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Path == "/fhir")];

    /// <summary>Every search that arrived.</summary>
    public IReadOnlyList<IRequestMessage> Probes => [.. _server.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Path.EndsWith("_search", StringComparison.Ordinal))];

    /// <summary>The next answers, in order; afterwards it stores and answers as it should.</summary>
    public EntReceiver Answers(params Func<IRequestMessage, ResponseMessage>[] answers)
    {
        foreach (var answer in answers)
        {
            _script.Enqueue(answer);
        }

        return this;
    }

    public static Func<IRequestMessage, ResponseMessage> Status(int status, string body = "", params (string Name, string Value)[] headers) =>
        _ => Message(status, body, headers);

    public static Func<IRequestMessage, ResponseMessage> Outcome(int status, params (string Severity, string Code)[] issues) => Status(
        status,
        JsonSerializer.Serialize(new
        {
            resourceType = "OperationOutcome",
            issue = issues.Select(issue => new { severity = issue.Severity, code = issue.Code, diagnostics = "as the receiver says" }),
        }));

    /// <summary>Stores the transaction and answers as FHIR R4 asks for.</summary>
    public ResponseMessage Store(IRequestMessage request)
    {
        var entries = Keep(request);
        return Message(200, Transaction([.. Enumerable.Range(1, entries).Select(number => $$$"""{"response":{"status":"201 Created","location":"Thing/{{{number}}}/_history/1","etag":"W/\"1\""}}""")]));
    }

    /// <summary>Stores the transaction; the answer is then somebody else's business.</summary>
    public int Keep(IRequestMessage request)
    {
        using var document = JsonDocument.Parse(request.BodyAsBytes!);
        var resources = document.RootElement.GetProperty("entry").EnumerateArray().Select(entry => entry.GetProperty("resource")).ToList();
        var identifier = resources.Single(resource => resource.GetProperty("resourceType").GetString() == "ServiceRequest").GetProperty("identifier")[0];
        var added = _stored.TryAdd($"{identifier.GetProperty("system").GetString()}|{identifier.GetProperty("value").GetString()}", 1);
        Interlocked.Add(ref _created, added ? 1 : 0);
        return resources.Count;
    }

    public static string Transaction(params string[] entries) =>
        $$"""{"resourceType":"Bundle","type":"transaction-response","entry":[{{string.Join(',', entries)}}]}""";

    public static ResponseMessage Message(int status, string body, params (string Name, string Value)[] headers)
    {
        var all = new Dictionary<string, WireMockList<string>> { ["Content-Type"] = new("application/fhir+json") };
        foreach (var (name, value) in headers)
        {
            all[name] = new WireMockList<string>(value);
        }

        return new ResponseMessage
        {
            StatusCode = status,
            Headers = all,
            BodyData = new BodyData { DetectedBodyType = BodyType.String, BodyAsString = body, Encoding = Encoding.UTF8 },
        };
    }

    public void Dispose() => _server.Dispose();

    private ResponseMessage Receive(IRequestMessage request) => IsDown ? Message(503, string.Empty) : _script.TryDequeue(out var answer) ? answer(request) : Store(request);

    // As FHIR R4 asks of a receiver: a message that it knows by its id is answered as at first, and processed once.
    private ResponseMessage Process(IRequestMessage request)
    {
        if (_script.TryDequeue(out var answer))
        {
            return answer(request);
        }

        var id = JsonDocument.Parse(request.Body!).RootElement.GetProperty("id").GetString()!;
        if (_stored.TryAdd(id, 1))
        {
            Interlocked.Increment(ref _created);
        }

        return Message(200, Reply(id, "ok"));
    }

    /// <summary>A response message to one of ours.</summary>
    public static string Reply(string id, string code) =>
        $$$"""{"resourceType":"Bundle","type":"message","entry":[{"resource":{"resourceType":"MessageHeader","response":{"identifier":"{{{id}}}","code":"{{{code}}}"} } }]}""";

    private ResponseMessage Token(IRequestMessage request) => TokenAnswers.TryDequeue(out var answer)
        ? answer(request)
        : Message(200, $$"""{"access_token":"token-{{Interlocked.Increment(ref _tokens)}}","token_type":"bearer","expires_in":300,"scope":"system/*.cruds"}""");

    private static Dictionary<string, string> Form(IRequestMessage request) => Encoding.UTF8.GetString(request.BodyAsBytes!).Split('&')
        .Select(pair => pair.Split('=', 2)).ToDictionary(pair => pair[0], pair => Uri.UnescapeDataString(pair[1].Replace('+', ' ')), StringComparer.Ordinal);

    private ResponseMessage Job(IRequestMessage request) => Jobs.TryDequeue(out var answer) ? answer(request) : Message(404, string.Empty);

    private ResponseMessage Search(IRequestMessage request)
    {
        if (IsDown)
        {
            return Message(503, string.Empty);
        }

        if (CannotSearch)
        {
            return Message(404, "<html>not here</html>");
        }

        var wanted = Uri.UnescapeDataString(Encoding.UTF8.GetString(request.BodyAsBytes!)).Split('=', 2)[1];
        var identifier = wanted.Split('|');
        var entries = _stored.ContainsKey(wanted)
            ? $$$"""[{"resource":{"resourceType":"ServiceRequest","id":"9","meta":{"versionId":"1"},"identifier":[{"system":"{{{identifier[0]}}}","value":"{{{identifier[1]}}}"}]}}]"""
            : "[]";
        return Message(200, $$"""{"resourceType":"Bundle","type":"searchset","entry":{{entries}}}""");
    }
}
