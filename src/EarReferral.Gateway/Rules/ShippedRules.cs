namespace EarReferral.Gateway.Rules;

/// <summary>The rule set that this program was tested with. A test compares the digest with the files and says the new one.</summary>
internal static class ShippedRules
{
    /// <summary>Digest of <c>profiles/rules</c>; a set with it was checked in full by the tests and needs the quick load only.</summary>
    public const string Sha256 = "0207713d0b125abebafbf9ee140239d8bd8150bae989e2c0030c17387260737f";
}
