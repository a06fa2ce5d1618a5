using Hl7.Fhir.Model;

namespace EarReferral.Summary.Findings;

/// <summary>What became of one ear, in the few lines that a reader in a hurry needs.</summary>
public static class EarOutcome
{
    /// <summary>Done and complications; one line that nothing was done where nothing was.</summary>
    /// <param name="side">The patient's side.</param>
    /// <param name="record">The resources of one encounter, in any order.</param>
    public static IEnumerable<string> Of(EarSide side, IReadOnlyList<Resource> record)
    {
        var procedures = Procedures(side, record).ToList();
        if (procedures.Count == 0)
        {
            yield return "Nothing was done to this ear.";
        }

        foreach (var procedure in procedures)
        {
            var result = procedure.Outcome?.Text ?? (procedure.Status is EventStatus.NotDone ? "Not started" : "Outcome not recorded");
            yield return $"{procedure.Code?.Text ?? "Procedure"}: {result}{(procedure.StatusReason?.Text is { } reason ? $" ({reason})" : string.Empty)}.";
            foreach (var complication in procedure.Complication)
            {
                yield return $"Complication: {complication.Text}.";
            }
        }
    }

    /// <summary>What was left in the ear, whether on purpose, and where.</summary>
    /// <param name="side">The patient's side.</param>
    /// <param name="record">The resources of one encounter, in any order.</param>
    public static IReadOnlyList<string> Left(EarSide side, IReadOnlyList<Resource> record) =>
    [
        .. EarViewReader.Read(record, side, ExaminationMoment.After).Findings
            .Where(finding => finding.Kind is FindingKind.Residual)
            .Select(finding => $"{char.ToUpperInvariant(finding.Words[0])}{finding.Words[1..]}{(finding.Place is { } place ? $" ({place.Words})" : ", place not recorded")}."),
    ];

    /// <summary>The procedures at one ear.</summary>
    internal static IEnumerable<Procedure> Procedures(EarSide side, IReadOnlyList<Resource> record) => record.OfType<Procedure>().Where(procedure =>
        procedure.Status is not EventStatus.EnteredInError
        && procedure.BodySite.Exists(site => site.Coding.Exists(coding => coding.System == FindingCodes.Snomed && coding.Code == FindingCodes.Ear(side))));
}
