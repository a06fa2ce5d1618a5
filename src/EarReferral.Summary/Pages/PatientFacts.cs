using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>Who the patient is, as the first lines of every sheet say it.</summary>
internal static class PatientFacts
{
    public static IEnumerable<Fact> Of(Patient? patient) =>
    [
        new("Patient", Name(patient)),
        new("Born", PlainTime.Of(patient?.BirthDate)),
        new("NHS number", PatientNumber.Words(patient)),
    ];

    /// <summary>The head of each sheet of paper.</summary>
    public static string Running(Patient? patient) => $"{Name(patient)}, born {PlainTime.Of(patient?.BirthDate)}, NHS number {PatientNumber.Words(patient)}";

    public static string Name(HumanName name) => string.Join(' ', name.Prefix.Concat(name.Given).Append(name.Family).OfType<string>());

    private static string Name(Patient? patient) => patient?.Name.FirstOrDefault() is { } name ? Name(name) : "not recorded";
}
