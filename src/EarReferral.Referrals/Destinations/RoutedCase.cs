namespace EarReferral.Referrals.Destinations;

/// <summary>What a destination is chosen by.</summary>
/// <param name="ClinicId">Clinic that refers.</param>
/// <param name="Tier">Tier that is acted on, such as <c>T1</c>.</param>
/// <param name="Age">Adult or child on the day of the visit.</param>
/// <param name="Reasons">Ids of the rules that fired.</param>
/// <param name="Practice">ODS code of the GP practice of the patient; null when there is none or it is not known.</param>
/// <param name="Receivers">Kinds of receiver that the deciding rules name, such as <c>ent</c> or <c>gp</c>.</param>
public sealed record RoutedCase(string ClinicId, string Tier, AgeGroup Age, IReadOnlyCollection<string> Reasons, string? Practice, IReadOnlyCollection<string> Receivers);
