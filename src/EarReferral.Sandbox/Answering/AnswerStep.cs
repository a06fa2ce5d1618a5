namespace EarReferral.Sandbox.Answering;

/// <summary>What the receiver tells the gateway about a Task, in this order.</summary>
internal enum AnswerStep
{
    /// <summary>Received and being triaged.</summary>
    Received,

    /// <summary>Accepted for an appointment.</summary>
    Accepted,
}
