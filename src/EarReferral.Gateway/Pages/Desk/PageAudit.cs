using EarReferral.Gateway.Intake;
using EarReferral.Storage.Audit;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Writes down what a page is about to show, one row per patient; a page whose row cannot be written is not shown.</summary>
internal sealed class PageAudit(AuditStore audit, TimeProvider clock, IHttpContextAccessor http)
{
    /// <summary>Stores the rows.</summary>
    /// <param name="type">FHIR type that is shown.</param>
    /// <param name="ids">Ids of what is shown.</param>
    public async Task ShownAsync(string type, IReadOnlyCollection<string> ids)
    {
        var context = http.HttpContext!;
        var caller = Callers.Of(context);
        var template = new AuditEntry(
            clock.GetUtcNow(), ids.Count == 1 ? AuditAction.Read : AuditAction.Search, AuditResult.Success, caller.Name, caller.Clinic ?? string.Empty, null, null, type, ids.Count == 1 ? ids.First() : null,
            context.TraceIdentifier, AuditEntry.OwnRecord)
        {
            TokenId = caller.TokenId,
        };
        await audit.DiscloseAsync(template, [.. ids.Select(id => (type, id))], [], context.RequestAborted);
    }
}
