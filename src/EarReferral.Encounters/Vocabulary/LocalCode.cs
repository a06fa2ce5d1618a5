namespace EarReferral.Encounters;

/// <summary>A clinic's own code where the contract has a closed list.</summary>
/// <param name="Pointer">JSON Pointer of the member in the posted document.</param>
/// <param name="Code">The clinic's code as posted.</param>
/// <param name="Display">The clinic's words for it, where its maps give them.</param>
/// <param name="Finding">Finding that the member states; null where it states none.</param>
/// <param name="Ear">Index of the ear in the document; null for the whole patient.</param>
/// <param name="IsAfter">For a look into the ear: whether it is the look after the procedure.</param>
/// <param name="Translated">The contract's code that took its place; null where it was kept as text.</param>
public sealed record LocalCode(string Pointer, string Code, string? Display, string? Finding, int? Ear, bool? IsAfter, string? Translated);
