using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Codes;

/// <summary>A code of a published terminology, written down once.</summary>
/// <param name="System">URI of the code system.</param>
/// <param name="Code">The code.</param>
/// <param name="Display">Display as its source shows it.</param>
/// <param name="Evidence">How many independent publications the pair of code and display was seen in.</param>
/// <param name="Source">The publications.</param>
public sealed record Term(string System, string Code, string Display, Evidence Evidence, string Source)
{
    /// <summary>The term as a FHIR coding.</summary>
    public Coding Coding() => new(System, Code, Display);

    /// <summary>The term as a concept; the text is what a clinician reads, the display when none is given.</summary>
    public CodeableConcept Concept(string? text = null) => new() { Coding = [Coding()], Text = text ?? Display };

    /// <summary>The term followed by a more exact local code; both mean the same thing at different depth.</summary>
    public CodeableConcept With(Coding local, string text) => new() { Coding = [Coding(), local], Text = text };
}

/// <summary>How well a code is attested.</summary>
public enum Evidence
{
    /// <summary>The publisher's own definition (HL7 code systems, UCUM).</summary>
    Specification,

    /// <summary>Artefacts of at least two publishers agree.</summary>
    TwoPublishers,

    /// <summary>Two subset releases of the same publisher agree.</summary>
    TwoReleases,

    /// <summary>Seen in one publication only; used where no better attested code exists, and said so in the row.</summary>
    OnePublication,
}
