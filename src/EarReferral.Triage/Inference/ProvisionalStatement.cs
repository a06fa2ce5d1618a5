using EarReferral.Triage.Decisions;

namespace EarReferral.Triage.Inference;

/// <summary>What the findings make likely. It is a remark for the clinician: it is never recorded, never a finding and no input of any rule.</summary>
/// <param name="Id">Stable name, such as <c>blood-after-cotton-buds</c>.</param>
/// <param name="Side">The ear, or null for the patient.</param>
/// <param name="Text">The sentence the clinician reads; it says "may", "probably" or "not known".</param>
/// <param name="Basis">Ids of the Observations it rests on.</param>
/// <param name="DoesNotMean">What must not be concluded from it.</param>
/// <param name="Source">Published source, or that there is none.</param>
public sealed record ProvisionalStatement(string Id, DecisionSide? Side, string Text, IReadOnlyList<string> Basis, string DoesNotMean, string Source);
