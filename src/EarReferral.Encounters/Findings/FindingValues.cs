namespace EarReferral.Encounters.Findings;

/// <summary>Turns the values of the model into values of findings; what nobody asked or saw never becomes a value.</summary>
internal static class FindingValues
{
    private static readonly FindingValue IsPresent = new FindingValue.Present();
    private static readonly FindingValue IsAbsent = new FindingValue.Absent();
    private static readonly FindingValue IsNotAsked = new FindingValue.Unknown(UnknownReason.NotAsked);
    private static readonly FindingValue IsNotSeen = new FindingValue.Unknown(UnknownReason.NotSeen);
    private static readonly FindingValue IsNotKnown = new FindingValue.Unknown(UnknownReason.NotKnown);

    public static FindingValue Of(Answer answer) => answer switch
    {
        Answer.Yes => IsPresent,
        Answer.No => IsAbsent,
        Answer.NotAsked => IsNotAsked,
    };

    public static FindingValue Of(Sign sign) => sign switch
    {
        Sign.Present => IsPresent,
        Sign.Absent => IsAbsent,
        Sign.NotSeen => IsNotSeen,
    };

    public static FindingValue Of<TEnum>(TEnum member)
        where TEnum : struct, Enum => Naming.Code(member) switch
        {
            "not-asked" => IsNotAsked,
            "not-seen" or "not-done" or "not-checked" or "not-assessed" => IsNotSeen,
            "not-known" => IsNotKnown,
            var code => new FindingValue.Coded(Naming.List<TEnum>(), code),
        };
}
