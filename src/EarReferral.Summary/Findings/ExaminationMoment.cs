namespace EarReferral.Summary.Findings;

/// <summary>Whether a finding was made before or after the procedure.</summary>
public enum ExaminationMoment
{
    Before,
    After,
}
