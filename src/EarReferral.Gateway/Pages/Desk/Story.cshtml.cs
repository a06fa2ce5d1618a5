using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Referrals;
using EarReferral.Gateway.Security.People;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;
using Hl7.Fhir.Model;
using Microsoft.AspNetCore.Html;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>One referral's story: what was decided and why, what was sent, what came back, what can be done now.</summary>
internal sealed class StoryModel(ReferralStore referrals, EncounterStore encounters, ResourceStore resources, Outbox outbox, ClockReader clocks, DestinationDirectory directory, PageAudit audit, DeskReach desk, TimeProvider clock) : PageModel
{
    private static readonly JsonSerializerOptions Readable = new() { WriteIndented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    [BindProperty(SupportsGet = true)]
    public string? Done { get; set; }

    public StoredReferral Referral { get; private set; } = null!;

    public StoredEncounter? Visit { get; private set; }

    public PatientLine Patient { get; private set; } = null!;

    public StateWords State { get; private set; } = null!;

    public Contact? Contact { get; private set; }

    public bool PhoneNow { get; private set; }

    public DateTimeOffset Now { get; private set; }

    public string Zone => Visit?.TimeZone ?? "Europe/London";

    public IReadOnlyList<ReferralEvent> Timeline { get; private set; } = [];

    public IReadOnlyList<StoredAttempt> Attempts { get; private set; } = [];

    public IReadOnlyList<ClockReading> Clocks { get; private set; } = [];

    public JsonElement? Decision { get; private set; }

    public string? SummaryId { get; private set; }

    public IReadOnlyList<Picture> Pictures { get; private set; } = [];

    public IReadOnlyList<(string Type, string Words)> Parts { get; private set; } = [];

    public string Raw { get; private set; } = string.Empty;

    /// <summary>What this person may do to it as it stands.</summary>
    public IReadOnlyList<DeskAct> Acts { get; private set; } = [];

    /// <summary>A drawing as markup; made by our own renderer, which escapes every label.</summary>
    public static IHtmlContent Drawing(Picture picture, string id) => new HtmlString(Svg.Render(picture, id).ToString());

    public async System.Threading.Tasks.Task<IActionResult> OnGetAsync(string id)
    {
        if (!desk.May(PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.Operator))
        {
            return new ForbiddenPage();
        }

        var (reach, stop) = (desk.Reach, HttpContext.RequestAborted);
        if (await referrals.FindAsync(reach, id, stop) is not { } referral)
        {
            return NotFound();
        }

        (Referral, Now, State) = (referral, clock.GetUtcNow(), DeskWords.State(referral));
        Contact = directory.ContactAt(referral.Destination, Now);
        Timeline = await referrals.TimelineAsync(reach, id, stop);
        PhoneNow = ReferralEndpoints.PhoneNow(referral) && ClockReader.TakenByPhone(Timeline) is null;
        Attempts = await outbox.AttemptsAsync(reach, id, stop);
        Clocks = ClockReader.IsRunning(referral) ? await clocks.ReadAsync(referral, Now, stop) : [];
        Visit = await encounters.FindAsync(reach, referral.EncounterKey, stop);
        Acts = [.. DeskActs.All.Where(act => act.Fits(referral) && desk.May([.. act.Roles]))];
        // Whoever only runs the gateway needs the sending, not the patient.
        if (desk.May(PersonRole.Clinician, PersonRole.ClinicalLead))
        {
            await ReadRecordAsync(referral, stop);
        }
        else
        {
            Patient = new PatientLine("Patient not shown to this role", "not shown");
        }

        await audit.ShownAsync("ServiceRequest", [id]);
        return Page();
    }

    private async System.Threading.Tasks.Task ReadRecordAsync(StoredReferral referral, CancellationToken stop)
    {
        if (Visit is { } visit)
        {
            var receipt = JsonElement.Parse(visit.Receipt.Span);
            Decision = receipt.TryGetProperty("decision", out var decision) ? decision : null;
            SummaryId = receipt.TryGetProperty("summary", out var summary) ? summary.GetString()!.Split('/')[^2] : null;
        }

        var document = SummaryId is { } id ? await SummaryDocument.FindAsync(id, desk.Reach, resources, stop) : null;
        var record = document?.Entry.Select(entry => entry.Resource).OfType<Resource>().ToList() ?? [];
        var patient = record.OfType<Patient>().FirstOrDefault();
        Patient = patient is null
            ? new PatientLine("Patient not stored", "not recorded")
            : new PatientLine($"{patient.Name.FirstOrDefault()?.Family}, {string.Join(' ', patient.Name.FirstOrDefault()?.Given ?? [])}", patient.BirthDate ?? "not recorded");
        Pictures = [.. Enum.GetValues<EarSide>().SelectMany(side => Enum.GetValues<ExaminationMoment>().Select(moment => EarViewReader.Read(record, side, moment))).Where(view => view.WasExamined || view.Findings.Count > 0).Select(EarDrawing.Of)];
        if (referral.Request.Length <= 2)
        {
            return;
        }

        using var sent = JsonDocument.Parse(referral.Request);
        Raw = JsonSerializer.Serialize(sent.RootElement, Readable);
        Parts = [.. sent.RootElement.GetProperty("entry").EnumerateArray().Select(entry => entry.GetProperty("resource")).Select(resource => (resource.GetProperty("resourceType").GetString()!, Words(resource)))];
    }

    private static string Words(JsonElement resource)
    {
        var code = resource.TryGetProperty("code", out var concept) ? Text(concept) : null;
        var value = resource.TryGetProperty("valueCodeableConcept", out var coded) ? Text(coded)
            : resource.TryGetProperty("valueString", out var text) ? text.GetString()
            : resource.TryGetProperty("valueQuantity", out var quantity) ? $"{quantity.GetProperty("value")} {(quantity.TryGetProperty("unit", out var unit) ? unit.GetString() : string.Empty)}"
            : resource.TryGetProperty("valueInteger", out var number) ? number.ToString()
            : null;
        var site = resource.TryGetProperty("bodySite", out var where) ? Text(where) : null;
        var title = resource.TryGetProperty("title", out var named) && named.ValueKind == JsonValueKind.String ? named.GetString() : null;
        var name = resource.TryGetProperty("name", out var called) && called.ValueKind == JsonValueKind.String ? called.GetString() : null;
        return string.Join(" · ", new[] { title ?? code ?? name, site, value, resource.TryGetProperty("status", out var status) ? status.GetString() : null }.OfType<string>());
    }

    private static string? Text(JsonElement concept) => concept.ValueKind == JsonValueKind.Array ? (concept.GetArrayLength() > 0 ? Text(concept[0]) : null)
        : concept.ValueKind != JsonValueKind.Object ? null
        : concept.TryGetProperty("text", out var text) ? text.GetString()
        : concept.TryGetProperty("coding", out var codings) && codings.GetArrayLength() > 0 && codings[0].TryGetProperty("display", out var display) ? display.GetString() : null;
}
