using System.ComponentModel.DataAnnotations;
using EarReferral.Delivery;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Configuration;

/// <summary>The clinics whose encounters are accepted, from section <c>Clinics</c>.</summary>
internal sealed class ClinicDirectory
{
    private static readonly string[] Tiers = ["T0", "T1", "T2", "T2C", "T3"];

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
    /// <param name="destinations">The configured destinations by name.</param>
    /// <exception cref="OptionsValidationException">A clinic lacks its name or destination; all are named.</exception>
    public static ClinicDirectory Read(IConfiguration configuration, IReadOnlyDictionary<string, DestinationOptions> destinations)
    {
        var clinics = configuration.GetSection(ClinicOptions.Section).Get<Dictionary<string, ClinicOptions>>() ?? [];
        var failures = clinics.SelectMany(clinic =>
        {
            var missing = new List<ValidationResult>();
            Validator.TryValidateObject(clinic.Value, new ValidationContext(clinic.Value), missing, validateAllProperties: true);
            return missing.Select(failure => $"Clinics:{clinic.Key}: {failure.ErrorMessage}")
                .Concat(clinic.Value.EntDestination is { } named ? Destination(clinic.Key, named, destinations) : []);
        }).ToList();
        return failures.Count == 0
            ? new ClinicDirectory(clinics)
            : throw new OptionsValidationException(ClinicOptions.Section, typeof(ClinicOptions), failures);
    }

    private static IEnumerable<string> Destination(string clinic, string name, IReadOnlyDictionary<string, DestinationOptions> destinations)
    {
        if (!destinations.TryGetValue(name, out var destination))
        {
            return [$"Clinics:{clinic}:EntDestination names '{name}', which is not among Delivery:Destinations."];
        }

        // It gets whatever no route takes.
        return Tiers.Where(tier => !destination.Takes(tier)).Select(tier => $"Clinics:{clinic}:EntDestination names '{name}', which does not take {tier}; a clinic's own destination takes every tier.");
    }
}
