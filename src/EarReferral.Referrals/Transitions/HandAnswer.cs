using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>What a receiver said by telephone, letter or e-mail.</summary>
public enum HandAnswer
{
    /// <summary>They have it.</summary>
    Received,

    /// <summary>They will see the patient.</summary>
    Accepted,

    /// <summary>They will not; the reason is in words.</summary>
    Returned,

    /// <summary>They ask the clinic for more.</summary>
    MoreWanted,

    /// <summary>A visit is booked.</summary>
    Booked,

    /// <summary>The patient did not come.</summary>
    DidNotAttend,

    /// <summary>The patient was seen; the letter may still be missing.</summary>
    Seen,
}

/// <summary>An answer by hand as the change of the Task that the receiver would have reported; the same matrix judges it.</summary>
public static class HandAnswers
{
    /// <summary>Status and finer state that the answer asks for.</summary>
    public static (ExecutionStatus Status, BusinessStatus? Business) Change(HandAnswer answer, ExecutionStatus current) => answer switch
    {
        HandAnswer.Received => (ExecutionStatus.Received, BusinessStatus.UnderTriage),
        HandAnswer.Accepted => (ExecutionStatus.Accepted, BusinessStatus.Accepted),
        // Which of the three kinds of return it was, nobody was asked.
        HandAnswer.Returned => (ExecutionStatus.Rejected, null),
        HandAnswer.MoreWanted => (current is ExecutionStatus.Requested ? ExecutionStatus.Received : current, BusinessStatus.AwaitingInformation),
        HandAnswer.Booked => (AtLeastAccepted(current), BusinessStatus.VisitScheduled),
        HandAnswer.DidNotAttend => (AtLeastAccepted(current), BusinessStatus.DidNotAttend),
        HandAnswer.Seen => (ExecutionStatus.Completed, BusinessStatus.AwaitingReport),
    };

    // Whoever books a visit has accepted it.
    private static ExecutionStatus AtLeastAccepted(ExecutionStatus current) =>
        current is ExecutionStatus.Requested or ExecutionStatus.Received ? ExecutionStatus.Accepted : current;
}
