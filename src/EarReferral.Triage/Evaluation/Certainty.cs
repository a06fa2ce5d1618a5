namespace EarReferral.Triage.Evaluation;

/// <summary>Three-valued truth; <see cref="Unknown"/> is FHIRPath's empty collection.</summary>
internal enum Certainty { False, Unknown, True }
