namespace EarReferral.Encounters.Reading;

/// <summary>Problems of the document's form: bytes, JSON, members and single values.</summary>
internal static class FormProblems
{
    public static readonly ProblemDefinition TooLarge = new("document.too-large", "The document is larger than 1 MiB.");
    public static readonly ProblemDefinition NotUtf8 = new("document.not-utf8", "The document is not valid UTF-8.");
    public static readonly ProblemDefinition TooDeep = new("document.too-deep", "The document is nested more than 32 levels deep.");
    public static readonly ProblemDefinition TooManyProblems = new("document.too-many-problems", "There are more problems than are listed here; put the listed ones right and post again.");
    public static readonly ProblemDefinition Malformed = new("json.malformed", "The document is not well-formed JSON (RFC 8259).");
    public static readonly ProblemDefinition DuplicateMember = new("json.duplicate-member", "The same member name occurs twice in one object.");
    public static readonly ProblemDefinition LoneSurrogate = new("json.lone-surrogate", "A text holds half of an escaped UTF-16 pair and is therefore no text.");
    public static readonly ProblemDefinition NumberTooLong = new("json.number-too-long", "A number has more digits or a larger exponent than can be kept exactly; at most 24 characters are accepted.");
    public static readonly ProblemDefinition UnknownVersion = new("contract.version-unknown", "The contract version is not one that this gateway reads; version 1 is written 1.0.");
    public static readonly ProblemDefinition UnknownMember = new("member.unknown", "The contract has no member of this name here.");
    public static readonly ProblemDefinition MissingMember = new("member.missing", "A required member is missing.");
    public static readonly ProblemDefinition WrongType = new("value.type", "The value has the wrong JSON type; null is no value, a member without value is left out.");
    public static readonly ProblemDefinition NotInList = new("value.not-in-list", "The value is not one of the listed codes.");
    public static readonly ProblemDefinition OutOfRange = new("value.range", "The number is outside its range.");
    public static readonly ProblemDefinition WrongLength = new("value.length", "The text or list is shorter or longer than allowed.");
    public static readonly ProblemDefinition WrongFormat = new("value.format", "The text does not have the form that this member asks for.");

    public static readonly IReadOnlyList<ProblemDefinition> All =
    [
        TooLarge, NotUtf8, TooDeep, TooManyProblems, Malformed, DuplicateMember, LoneSurrogate, NumberTooLong, UnknownVersion,
        UnknownMember, MissingMember, WrongType, NotInList, OutOfRange, WrongLength, WrongFormat,
    ];
}
