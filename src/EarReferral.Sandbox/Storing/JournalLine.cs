using System.Text.Json.Serialization;
using EarReferral.Sandbox.Answering;

namespace EarReferral.Sandbox.Storing;

/// <summary>One line of the journal; a line is written whole or not at all, which is what makes a transaction atomic.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "kind")]
[JsonDerivedType(typeof(Accepted), "accepted")]
[JsonDerivedType(typeof(Answered), "answered")]
internal abstract record JournalLine
{
    /// <summary>Everything that one transaction created.</summary>
    public sealed record Accepted(DateTimeOffset At, IReadOnlyList<StoredResource> Created) : JournalLine
    {
        /// <summary>New versions of what was there.</summary>
        public IReadOnlyList<StoredResource> Updated { get; init; } = [];
    }

    /// <summary>A step that the gateway has confirmed, with the receiver's own copy of the Task.</summary>
    public sealed record Answered(DateTimeOffset At, AnswerStep Step, StoredResource Task) : JournalLine;
}
