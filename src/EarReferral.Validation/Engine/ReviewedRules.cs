using System.Text;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Engine;

/// <summary>
/// The rules that were read and found unable to tell a resource id or a reference to a UUID from another, or an instant
/// from another in the same order. <see cref="ContentKey"/> leaves these out of the key only under exactly these rules.
/// </summary>
/// <remarks>
/// What the review of all 115 expressions found, 25 November 2026, read again when the extensions of the rules came (they bring ele-1 and ext-1 only): ids and references are read by ref-1 and dom-3 alone (and by que-2, sdf-16 and sdf-17 in types that are never judged here), behind a leading <c>#</c> or beside
/// contained resources, neither of which gets a key. Instants are compared by per-1 (start, end), inv-1 (lastModified, authoredOn)
/// and mdd-1, always with each other. Nothing reads the clock, resolves a reference or holds a date. The patterns, fixed values and
/// lengths stand on systems, codes and concepts. Read again with the profiles of pictures, consent, communication, harm and letters
/// (18 expressions more, ppc-1 to ppc-5, ait-1, ait-2, fhs-1 and fhs-2 of R4 among them): all ask for presence, codes or statuses, but
/// ear-med-1 and ear-doc-2, which read how the address of an attachment begins; no key leaves that out. Read again with ear-obs-5 and ear-obs-6
/// (26 November 2026): both ask for presence and a code. Whoever changes an invariant reads it with these questions and then changes the digest.
/// </remarks>
internal static class ReviewedRules
{
    private const string Reviewed = "5b5e68c40c85b5eb564bb42369efa44eee2cb2f40b23836e2f031c897bf93bfb";

    /// <summary>Whether these definitions hold exactly the rules that were reviewed.</summary>
    public static bool AreThoseOf(IEnumerable<Resource> definitions) => Digest(definitions) == Reviewed;

    /// <summary>Digest of everything in the snapshots that decides on a value: invariants, patterns, fixed values, bounds and lengths.</summary>
    public static string Digest(IEnumerable<Resource> definitions)
    {
        var rules = new StringBuilder();
        foreach (var definition in definitions.OfType<StructureDefinition>().OrderBy(definition => definition.Url, StringComparer.Ordinal))
        {
            foreach (var element in definition.Snapshot!.Element)
            {
                var bounds = new[] { element.Fixed, element.Pattern, element.MinValue, element.MaxValue }.Any(bound => bound is not null) || element.MaxLength is not null;
                if (!bounds && element.Constraint.Count == 0)
                {
                    continue;
                }

                rules.Append(definition.Url).Append(' ').Append(element.ElementId).Append(bounds ? " bounded" : "").Append('\n');
                foreach (var constraint in element.Constraint)
                {
                    rules.Append(constraint.Key).Append(' ').Append(constraint.Expression).Append('\n');
                }
            }
        }

        var (high, low) = ContentDigest.Of(Encoding.UTF8.GetBytes(rules.ToString()));
        return $"{high:x32}{low:x32}";
    }
}
