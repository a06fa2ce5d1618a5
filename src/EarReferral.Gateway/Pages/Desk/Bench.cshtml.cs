using System.Text;
using System.Text.Json;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security.People;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Where an integrator sees what becomes of a document: problems under its lines, the decision, the bundle, what would be sent. Nothing is stored.</summary>
internal sealed class BenchModel(EncounterIntake intake, DeskReach desk, IOptions<GatewayOptions> gateway) : PageModel
{
    /// <summary>As at the intake.</summary>
    private const int Largest = 1 << 20;

    private static readonly JsonSerializerOptions Readable = new() { WriteIndented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    [BindProperty(SupportsGet = true)]
    public string? Example { get; set; }

    /// <summary>The document as it stands in the form.</summary>
    public string Document { get; private set; } = string.Empty;

    /// <summary>Its lines with the problems of each; empty before anything was tried and when nothing is wrong.</summary>
    public IReadOnlyList<(int Number, string Text, IReadOnlyList<EncounterProblem> Problems)> Lines { get; private set; } = [];

    public IReadOnlyList<EncounterProblem> Problems { get; private set; } = [];

    /// <summary>What was made of it; null when it was refused or nothing was tried.</summary>
    public Judgement? Judged { get; private set; }

    public ReceiptDecision? Decision { get; private set; }

    /// <summary>Why nothing could be tried.</summary>
    public string? Refused { get; private set; }

    public string Receipt { get; private set; } = string.Empty;

    public string Bundle { get; private set; } = string.Empty;

    public string Curl => $"curl -X POST '{new Uri(gateway.Value.PublicBaseUrl, "encounters/preview")}' \\\n  -H 'Content-Type: application/json' -H \"Authorization: Bearer $TOKEN\" \\\n  --data-binary @visit.json";

    public IActionResult OnGet()
    {
        if (!desk.May(PersonRole.Integrator, PersonRole.Operator))
        {
            return new ForbiddenPage();
        }

        Document = BenchExamples.Read(Example) ?? string.Empty;
        return Page();
    }

    /// <summary>Tries a pasted document, or a file.</summary>
    public async Task<IActionResult> OnPostAsync([FromForm] string? document, IFormFile? file)
    {
        if (!desk.May(PersonRole.Integrator, PersonRole.Operator))
        {
            return new ForbiddenPage();
        }

        byte[] bytes;
        if (file is { Length: > 0 })
        {
            using var memory = new MemoryStream();
            await file.CopyToAsync(memory, HttpContext.RequestAborted);
            bytes = memory.ToArray();
        }
        else
        {
            bytes = Encoding.UTF8.GetBytes((document ?? string.Empty).ReplaceLineEndings("\n"));
        }

        if (bytes.Length is 0 or > Largest)
        {
            Refused = bytes.Length == 0 ? "There is no document. Paste one, choose a file or take an example." : "A document is at most 1 MiB.";
            Response.StatusCode = StatusCodes.Status400BadRequest;
            return Page();
        }

        Document = Encoding.UTF8.GetString(bytes);
        var trial = await intake.TryAsync(bytes, HttpContext.RequestAborted);
        (Judged, Problems, Decision, Refused) = (trial.Judgement, trial.Problems, trial.Decision, trial.Refused);
        if (Problems.Count > 0)
        {
            var places = DocumentLines.Of(bytes);
            var byLine = Problems.ToLookup(problem => DocumentLines.Find(places, problem.Pointer));
            Lines = [.. DocumentLines.Split(bytes).Select((text, index) => (index + 1, text, (IReadOnlyList<EncounterProblem>)[.. byLine[index + 1]]))];
        }

        if (trial.Receipt is { } receipt)
        {
            Receipt = Pretty(ReceiptWriter.Bytes(receipt));
            Bundle = Judged?.Request is { } request ? Pretty(request) : string.Empty;
        }

        return Page();
    }

    private static string Pretty(byte[] json)
    {
        using var parsed = JsonDocument.Parse(json);
        return JsonSerializer.Serialize(parsed.RootElement, Readable);
    }
}
