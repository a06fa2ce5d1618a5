using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Answering;

/// <summary>A Task that somebody waits to hear about.</summary>
/// <param name="TaskId">The receiver's own id of the Task.</param>
/// <param name="Identifier">Business identifier that the gateway knows it by.</param>
/// <param name="AcceptedAt">When the transaction was accepted.</param>
/// <param name="Done">Steps that the gateway has confirmed.</param>
internal sealed record AwaitedAnswer(string TaskId, IdentifierToken Identifier, DateTimeOffset AcceptedAt, IReadOnlyList<AnswerStep> Done)
{
    /// <summary>The next step and when it is due; null when everything that will be told has been told.</summary>
    public (AnswerStep Step, DateTimeOffset Due)? Next(SandboxOptions options)
    {
        if (options.AcknowledgeAfter is { } acknowledge && !Done.Contains(AnswerStep.Received))
        {
            return (AnswerStep.Received, AcceptedAt + acknowledge);
        }

        return options.AcceptAfter is { } accept && !Done.Contains(AnswerStep.Accepted)
            ? (AnswerStep.Accepted, AcceptedAt + accept)
            : null;
    }
}
