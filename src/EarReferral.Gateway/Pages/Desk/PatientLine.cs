using System.Text.Json;
using EarReferral.Storage.Resources;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Who the patient is, in one line, read from the stored Patient.</summary>
/// <param name="Name">Family name first.</param>
/// <param name="Born">Date of birth as recorded.</param>
internal sealed record PatientLine(string Name, string Born)
{
    /// <summary>Reads it; what is not recorded is said to be so.</summary>
    public static PatientLine Of(StoredResource? patient)
    {
        if (patient is null)
        {
            return new("Patient not stored", "not recorded");
        }

        using var document = JsonDocument.Parse(patient.Json);
        var root = document.RootElement;
        var name = "name not recorded";
        if (root.TryGetProperty("name", out var names) && names.GetArrayLength() > 0)
        {
            var first = names[0];
            var family = first.TryGetProperty("family", out var value) ? value.GetString() : null;
            var given = first.TryGetProperty("given", out var all) ? string.Join(' ', all.EnumerateArray().Select(part => part.GetString())) : null;
            name = string.Join(", ", new[] { family, given }.Where(part => !string.IsNullOrWhiteSpace(part)));
        }

        return new(name, root.TryGetProperty("birthDate", out var born) ? born.GetString()! : "not recorded");
    }
}
