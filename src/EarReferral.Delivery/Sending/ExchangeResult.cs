using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Sending;

/// <summary>How an exchange with the receiver ended.</summary>
/// <param name="Verdict">What follows; never one that asks for another step.</param>
/// <param name="StatusCode">Status of the last answer, null when none came.</param>
/// <param name="Issues">Every issue the receiver reported.</param>
internal sealed record ExchangeResult(Verdict Verdict, int? StatusCode, IReadOnlyList<AnswerIssue> Issues);
