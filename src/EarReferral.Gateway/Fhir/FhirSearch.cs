using System.Text;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Answers a search with a searchset Bundle, or with everything that is wrong with it.</summary>
internal sealed class FhirSearch(ResourceStore resources, IOptions<GatewayOptions> gateway, TimeProvider clock)
{
    /// <summary>Name of the parameter that carries the opaque place in a result.</summary>
    private const string Cursor = "_cursor";

    /// <summary>Answers one search.</summary>
    public async System.Threading.Tasks.Task<IResult> AnswerAsync(string type, IReadOnlyList<KeyValuePair<string, string>> parameters, HttpContext context)
    {
        if (!Capability.Types.Contains(type))
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, "This resource type is not served.");
        }

        var cursor = parameters.Where(pair => pair.Key == Cursor).Select(pair => pair.Value).FirstOrDefault();
        var parse = SearchParser.Parse(type, [.. parameters.Where(pair => pair.Key != Cursor)], clock.GetUtcNow(), new Uri(gateway.Value.PublicBaseUrl, "fhir/"));
        var isStrict = context.Request.Headers["Prefer"].Any(preference => preference?.Contains("handling=strict", StringComparison.OrdinalIgnoreCase) == true);
        if (parse.Query is not { } query || (isStrict && parse.Problems.Count > 0))
        {
            return new FhirResult(StatusCodes.Status400BadRequest, FhirJson.Bytes(Problems(parse.Problems, OperationOutcome.IssueSeverity.Error)));
        }

        var page = await resources.SearchAsync(Callers.FhirClient(context), query, cursor, context.RequestAborted);
        var bundle = new Bundle { Type = Bundle.BundleType.Searchset, Total = page.Total };
        bundle.Link.Add(new Bundle.LinkComponent { Relation = "self", Url = Link(query, null) });
        if (page.Next is { } next)
        {
            bundle.Link.Add(new Bundle.LinkComponent { Relation = "next", Url = Link(query, next) });
        }

        foreach (var found in page.Entries)
        {
            bundle.Entry.Add(new Bundle.EntryComponent
            {
                FullUrl = new Uri(gateway.Value.PublicBaseUrl, $"fhir/{found.Type}/{found.Id}").ToString(),
                Resource = found.Parse(),
                Search = new Bundle.SearchComponent { Mode = Bundle.SearchEntryMode.Match },
            });
        }

        var warnings = Problems(parse.Problems, OperationOutcome.IssueSeverity.Warning);
        if (page.Withheld > 0)
        {
            warnings.Issue.Add(Withheld(page.Withheld));
        }

        if (warnings.Issue.Count > 0)
        {
            bundle.Entry.Add(new Bundle.EntryComponent
            {
                FullUrl = $"urn:uuid:{Guid.CreateVersion7()}",
                Resource = warnings,
                Search = new Bundle.SearchComponent { Mode = Bundle.SearchEntryMode.Outcome },
            });
        }

        return FhirResult.Ok(bundle);
    }

    private string Link(SearchQuery query, string? next)
    {
        var address = new StringBuilder(new Uri(gateway.Value.PublicBaseUrl, $"fhir/{query.Type}").ToString());
        var separator = '?';
        foreach (var (name, value) in next is null ? query.Effective : query.Effective.Append(KeyValuePair.Create(Cursor, next)))
        {
            address.Append(separator).Append(Uri.EscapeDataString(name)).Append('=').Append(Uri.EscapeDataString(value));
            separator = '&';
        }

        return address.ToString();
    }

    /// <summary>Silence would say that there is no record; what is said is that there is one and that nobody knows yet whose it is.</summary>
    private static OperationOutcome.IssueComponent Withheld(int patients) => new()
    {
        Severity = OperationOutcome.IssueSeverity.Warning,
        Code = IssueType.Suppressed,
        Diagnostics = $"Not complete: {patients} patient record(s) with this NHS number are withheld, because what clinics recorded contradicts itself about who the patient is. They appear once the clinic has settled it.",
    };

    private static OperationOutcome Problems(IReadOnlyList<SearchProblem> problems, OperationOutcome.IssueSeverity severity) => new()
    {
        Issue =
        [
            .. problems.Select(problem => new OperationOutcome.IssueComponent
            {
                Severity = severity,
                Code = problem.Code switch
                {
                    "malformed-value" => IssueType.Value,
                    "too-costly" => IssueType.TooCostly,
                    "unknown-parameter" or "unknown-modifier" or "unknown-sort" or "unknown-type" => IssueType.NotSupported,
                    var code => throw new InvalidOperationException($"{code} is not a search problem."),
                },
                Diagnostics = problem.Parameter.Length == 0 ? problem.Sentence : $"{problem.Parameter}: {problem.Sentence}",
            }),
        ],
    };
}
