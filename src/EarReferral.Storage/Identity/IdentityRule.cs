using EarReferral.Storage.Schema.Rows;

namespace EarReferral.Storage.Identity;

/// <summary>
/// Same patient? The rule over what visits say: an NHS number and an equal birth date, or the clinic's own patient id within
/// that clinic. What contradicts itself is found here and never decided here.
/// </summary>
internal static class IdentityRule
{
    /// <summary>
    /// What is to be taken into account of one patient, the newest last. A retracted visit counts as long as nothing newer was
    /// saved: the Patient resource was last written from it.
    /// </summary>
    public static IReadOnlyList<PatientLinkRow> Live(IEnumerable<PatientLinkRow> ofPatient)
    {
        var inOrder = ofPatient.OrderBy(row => row.RecordedAt).ToList();
        return [.. inOrder.Where((row, at) => !row.Retracted || at == inOrder.Count - 1)];
    }

    /// <summary>What a person decided about; when it changes, the decision no longer holds.</summary>
    public static string Facts(IReadOnlyList<PatientLinkRow> live)
    {
        var newest = live.LastOrDefault(row => row.NhsNumber is not null);
        return string.Join(
            ';',
            $"{newest?.NhsNumber}|{newest?.BirthDate}",
            string.Join(',', Numbers(live)),
            string.Join(',', BirthDates(live)));
    }

    /// <summary>
    /// True when the patient may be found by the number of this row. A linked patient has the number and birth date of its newest
    /// visit with a number and no other; an unlinked one has none.
    /// </summary>
    public static bool Counts(PatientLinkRow row, IReadOnlyList<PatientLinkRow> live, bool? isLinked)
    {
        if (isLinked == false || !live.Contains(row))
        {
            return false;
        }

        var confirmed = live.LastOrDefault(each => each.NhsNumber is not null);
        return isLinked is null
            || confirmed is null
            || (row.BirthDate == confirmed.BirthDate && (row.NhsNumber is null || row.NhsNumber == confirmed.NhsNumber));
    }

    /// <summary>Contradictions between the visits of one patient of which nobody has decided.</summary>
    public static IEnumerable<IdentityConflictKind> Own(IReadOnlyList<PatientLinkRow> live)
    {
        if (Numbers(live).Count > 1)
        {
            yield return IdentityConflictKind.OwnNumber;
        }

        if (BirthDates(live).Count > 1)
        {
            yield return IdentityConflictKind.OwnBirthDate;
        }
    }

    /// <summary>
    /// The patients that cannot be told from another one with the same number and another birth date. A traced number outweighs an
    /// untraced one and a person's decision outweighs both, so that a slip at one clinic does not hide the record of another.
    /// </summary>
    /// <param name="ofNumber">What counts, of one number.</param>
    /// <param name="linked">Patients that a person linked.</param>
    public static IReadOnlySet<Guid> Clashing(IReadOnlyList<PatientLinkRow> ofNumber, IReadOnlySet<Guid> linked)
    {
        var patients = ofNumber.GroupBy(row => row.PatientKey)
            .Select(rows => (
                Key: rows.Key,
                BirthDates: BirthDates(rows),
                Weight: linked.Contains(rows.Key) ? 2 : rows.Any(row => row.Verified) ? 1 : 0))
            .ToList();
        return patients
            .Where(one => patients.Exists(other =>
                other.Key != one.Key && other.Weight >= one.Weight && !other.BirthDates.SequenceEqual(one.BirthDates)))
            .Select(one => one.Key)
            .ToHashSet();
    }

    private static List<string> Numbers(IEnumerable<PatientLinkRow> rows) =>
        [.. rows.Select(row => row.NhsNumber).OfType<string>().Distinct().Order(StringComparer.Ordinal)];

    private static List<string> BirthDates(IEnumerable<PatientLinkRow> rows) =>
        [.. rows.Select(row => row.BirthDate).Distinct().Order(StringComparer.Ordinal)];
}
