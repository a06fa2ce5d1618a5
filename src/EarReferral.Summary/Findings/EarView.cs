namespace EarReferral.Summary.Findings;

/// <summary>One ear at one moment, as the record tells it.</summary>
/// <param name="Side">The patient's side.</param>
/// <param name="Moment">Before or after the procedure.</param>
/// <param name="WasExamined">False when nothing about canal or drum was recorded for this moment.</param>
/// <param name="Drum">How much of the drum was seen.</param>
/// <param name="LightReflex">True when the light reflex was seen, false when it was looked for and absent, null when nobody says.</param>
/// <param name="Findings">What was seen, in the order of the record.</param>
public sealed record EarView(EarSide Side, ExaminationMoment Moment, bool WasExamined, DrumView Drum, bool? LightReflex, IReadOnlyList<EarFinding> Findings);
