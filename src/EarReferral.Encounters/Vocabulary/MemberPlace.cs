using System.Globalization;
using EarReferral.Encounters.Findings;
using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Vocabulary;

/// <summary>Where a coded member of a document stands, and which finding it states.</summary>
/// <param name="Path">Unescaped parts of its JSON Pointer.</param>
internal sealed record MemberPlace(IReadOnlyList<string> Path)
{
    private static readonly HashSet<string> PatientFindings = [.. FindingCatalogue.Patient.Select(finding => finding.Code)];
    private static readonly HashSet<string> EarFindings = [.. FindingCatalogue.Ear.Select(finding => finding.Code)];
    private static readonly HashSet<string> LookFindings = [.. FindingCatalogue.Otoscopy.Select(finding => finding.Code)];

    public string Pointer => string.Concat(Path.Select(part => "/" + JsonPointer.Escape(part)));

    /// <summary>The ear, by its index; null outside of them.</summary>
    public int? Ear => Path is ["ears", var index, ..] ? int.Parse(index, CultureInfo.InvariantCulture) : null;

    /// <summary>Whether it belongs to the look after the procedure; null outside of a look.</summary>
    public bool? IsAfter => Path is ["ears", _, "before" or "after", ..] ? Path[2] == "after" : null;

    /// <summary>What was done to the ear, or what came of it.</summary>
    public bool IsOfProcedure => Path is ["ears", _, "steps" or "outcome", ..];

    /// <summary>The finding that the member states, if it states one.</summary>
    public string? Finding => Path switch
    {
        ["ears", _, "before" or "after", var block, var member] => Known(LookFindings, $"{Kebab(block)}-{Kebab(member)}"),
        ["ears", _, "before" or "after", var member] => Known(LookFindings, $"otoscopy-{Kebab(member)}"),
        ["ears", _, "history", var member] => Known(EarFindings, $"ear-history-{Kebab(member)}"),
        ["ears", _, var block, var member] => Known(EarFindings, $"{Kebab(block)}-{Kebab(member)}"),
        ["complications", var member] => Known(PatientFindings, $"patient-complications-{Kebab(member)}"),
        [var block, var member] => Known(PatientFindings, $"{Kebab(block)}-{Kebab(member)}"),
        _ => null,
    };

    private static string? Known(HashSet<string> findings, string code) => findings.Contains(code) ? code : null;

    private static string Kebab(string camel) => Naming.Kebab(camel);
}
