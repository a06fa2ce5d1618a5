using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>How a field of a form is filled.</summary>
internal enum FieldKind
{
    /// <summary>One line.</summary>
    Line,

    /// <summary>Several lines.</summary>
    Text,

    /// <summary>One of a few.</summary>
    Choice,

    /// <summary>An instant on the clinic's clock.</summary>
    Instant,
}

/// <summary>A field of a form.</summary>
/// <param name="Name">Member of the request that it fills.</param>
/// <param name="Words">Label.</param>
/// <param name="Kind">How it is filled.</param>
internal sealed record DeskField(string Name, string Words, FieldKind Kind = FieldKind.Line)
{
    /// <summary>What helps to fill it.</summary>
    public string? Hint { get; init; }

    /// <summary>What can be chosen: the code and its words.</summary>
    public IReadOnlyList<(string Code, string Words)> Choices { get; init; } = [];

    /// <summary>True when it may stay empty.</summary>
    public bool IsOptional { get; init; }

    /// <summary>True when the chosen words are those of the configuration: destinations.</summary>
    public bool OfDestinations { get; init; }
}

/// <summary>Something that a person does to a referral by a form.</summary>
/// <param name="Word">Last part of its address.</param>
/// <param name="Title">What the button says.</param>
/// <param name="Follows">What happens then, in a sentence; read before it is done.</param>
/// <param name="Roles">Who may.</param>
/// <param name="Fields">Fields beside the person's name.</param>
/// <param name="Fits">Whether it can be done to a referral as it stands.</param>
/// <param name="DoAsync">Does it by the same function as the interface for programs.</param>
internal sealed record DeskAct(
    string Word, string Title, string Follows, IReadOnlyList<string> Roles, IReadOnlyList<DeskField> Fields, Func<StoredReferral, bool> Fits, Func<HttpContext, string, DeskForm, Task<IResult>> DoAsync);

/// <summary>What was written into a form.</summary>
/// <param name="Person">Who acts.</param>
/// <param name="ETag">The referral as it was when the form was shown.</param>
/// <param name="Values">Fields by name; empty ones are absent.</param>
/// <param name="At">The instant, where the form has one that could be read.</param>
internal sealed record DeskForm(string? Person, string ETag, IReadOnlyDictionary<string, string> Values, DateTimeOffset? At)
{
    /// <summary>A field; null when it is empty.</summary>
    public string? this[string name] => Values.GetValueOrDefault(name);
}
