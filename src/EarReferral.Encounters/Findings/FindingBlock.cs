namespace EarReferral.Encounters.Findings;

/// <summary>Makes the rows of one block of the contract, so that each row states only what is its own.</summary>
/// <param name="code">Code of the block; starts the code of every row.</param>
/// <param name="block">Reads the block; null when the encounter does not hold it.</param>
internal sealed class FindingBlock<TSubject, TBlock>(string code, Func<TSubject, TBlock?> block)
    where TBlock : class
{
    public Finding<TSubject> Answer(string member, string display, Func<TBlock, Answer?> read) =>
        Row(member, display, FindingKind.Answer, read, FindingValues.Of);

    public Finding<TSubject> Sign(string member, string display, Func<TBlock, Sign?> read) =>
        Row(member, display, FindingKind.Sign, read, FindingValues.Of);

    public Finding<TSubject> Coded<TEnum>(string member, string display, Func<TBlock, TEnum?> read)
        where TEnum : struct, Enum => Row(member, display, FindingKind.Coded, read, FindingValues.Of);

    public Finding<TSubject> Date(string member, string display, Func<TBlock, PartialDate?> read) =>
        Row(member, display, FindingKind.PartialDate, read, date => new FindingValue.OnDate(date));

    public Finding<TSubject> Instant(string member, string display, Func<TBlock, DateTimeOffset?> read) =>
        Row(member, display, FindingKind.Instant, read, instant => new FindingValue.At(instant));

    /// <param name="member">Member part of the code.</param>
    /// <param name="display">Name for people.</param>
    /// <param name="ucum">UCUM code of the unit; <c>1</c> for a plain count.</param>
    /// <param name="read">Reads the number.</param>
    public Finding<TSubject> Quantity(string member, string display, string ucum, Func<TBlock, decimal?> read) =>
        Row(member, display, FindingKind.Quantity, read, number => new FindingValue.Measured(number, ucum));

    public Finding<TSubject> Text(string member, string display, Func<TBlock, string?> read) =>
        new(Code(member), display, FindingKind.Text, subject => block(subject) is { } part && read(part) is { } words ? new FindingValue.Said(words) : null);

    private Finding<TSubject> Row<TValue>(string member, string display, FindingKind kind, Func<TBlock, TValue?> read, Func<TValue, FindingValue> value)
        where TValue : struct =>
        new(Code(member), display, kind, subject => block(subject) is { } part && read(part) is { } given ? value(given) : null);

    private string Code(string member) => $"{code}-{member}";
}
