using System.ComponentModel.DataAnnotations;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Configuration;

/// <summary>The clinics whose encounters are accepted, from section <c>Clinics</c>.</summary>
internal sealed class ClinicDirectory
{
    private readonly Dictionary<string, ClinicOptions> clinics;

    private ClinicDirectory(Dictionary<string, ClinicOptions> clinics) => this.clinics = clinics;

    /// <summary>How many clinics are configured.</summary>
    public int Count => clinics.Count;

    /// <summary>The id of the clinic that comes first in the alphabet, or null where none is configured.</summary>
    public string? First => clinics.Keys.Order(StringComparer.Ordinal).FirstOrDefault();

    /// <summary>Folders of ConceptMaps by clinic, for the clinics that have one.</summary>
    public IReadOnlyDictionary<string, string> VocabularyFolders => clinics
        .Where(clinic => !string.IsNullOrEmpty(clinic.Value.Vocabulary))
        .ToDictionary(clinic => clinic.Key, clinic => clinic.Value.Vocabulary!, StringComparer.Ordinal);

    /// <summary>The clinic with this id, or null.</summary>
    public ClinicOptions? Find(string clinicId) => clinics.GetValueOrDefault(clinicId);

    /// <summary>Reads and checks the section.</summary>
    /// <param name="configuration">The whole configuration.</param>
    /// <param name="destinations">Names of the configured destinations.</param>
    /// <exception cref="OptionsValidationException">A clinic lacks its name or destination; all are named.</exception>
    public static ClinicDirectory Read(IConfiguration configuration, IReadOnlyCollection<string> destinations)
    {
        var clinics = configuration.GetSection(ClinicOptions.Section).Get<Dictionary<string, ClinicOptions>>() ?? [];
        var failures = clinics.SelectMany(clinic =>
        {
            var missing = new List<ValidationResult>();
            Validator.TryValidateObject(clinic.Value, new ValidationContext(clinic.Value), missing, validateAllProperties: true);
            return missing.Select(failure => $"Clinics:{clinic.Key}: {failure.ErrorMessage}")
                .Concat(clinic.Value.EntDestination is { } named && !destinations.Contains(named)
                    ? [$"Clinics:{clinic.Key}:EntDestination names '{named}', which is not among Delivery:Destinations."]
                    : []);
        }).ToList();
        return failures.Count == 0
            ? new ClinicDirectory(clinics)
            : throw new OptionsValidationException(ClinicOptions.Section, typeof(ClinicOptions), failures);
    }
}
