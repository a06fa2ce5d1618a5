using EarReferral.Encounters;

namespace EarReferral.Mapping.History;

/// <summary>One ear at one earlier visit.</summary>
/// <param name="Visit">The visit.</param>
/// <param name="Ear">What it says about the ear.</param>
/// <param name="Day">Its calendar day in the zone of the clinic.</param>
internal sealed record PastEar(EarlierVisit Visit, EarExamination Ear, DateOnly Day)
{
    /// <summary>Whether the last look at the drum showed a hole; not seen where no look says so.</summary>
    public static Sign Perforation(EarExamination ear)
    {
        if (ear.Complications?.NewPerforation is Sign.Present)
        {
            return Sign.Present;
        }

        foreach (var drum in new[] { ear.After?.Drum, ear.Before.Drum })
        {
            if (drum is { Perforation: Sign.Present })
            {
                return Sign.Present;
            }

            if (drum is { Perforation: Sign.Absent } or { Intact: Sign.Present })
            {
                return Sign.Absent;
            }
        }

        return Sign.NotSeen;
    }

    /// <summary>How often the ear was irrigated at the visit.</summary>
    public static int Irrigations(EarExamination ear) =>
        ear.Steps.Where(step => step.Instrument is Instrument.ElectronicIrrigation or Instrument.ManualSyringe).Sum(step => step.Attempts ?? 1);

    /// <summary>Role of the Observation that shows the hole.</summary>
    public string PerforationRole() => Ear switch
    {
        { After.Drum.Perforation: Sign.Present } => "after/drum-perforation",
        { Before.Drum.Perforation: Sign.Present } => "before/drum-perforation",
        _ => "complications-new-perforation",
    };
}
