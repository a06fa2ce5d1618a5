namespace EarReferral.Gateway.Rules;

/// <summary>The rule set that this program was tested with. A test compares the digest with the files and says the new one.</summary>
internal static class ShippedRules
{
    /// <summary>Digest of <c>profiles/rules</c>; a set with it was checked in full by the tests and needs the quick load only.</summary>
    public const string Sha256 = "a9d6639b306ff61a4dc4151ccb5c8c69dbf6fb52a2515b9500aa5ec72a153372";
}
