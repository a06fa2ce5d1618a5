namespace EarReferral.Triage.Decisions;

/// <summary>When a clinician may set a tier that differs from the rules: raising is free, lowering must be answered for.</summary>
public static class TierOverrideRule
{
    /// <summary>Judges an override; the rules never decide in place of a named clinician, they only ask who, why and when.</summary>
    /// <param name="byRules">Tier that the rules gave; where a T0 or T1 question is open, the tier of the most urgent question if that is higher.</param>
    /// <param name="byClinician">Tier that the clinician decides.</param>
    /// <param name="reason">Why.</param>
    /// <param name="person">Who decides.</param>
    /// <param name="at">When it was decided.</param>
    /// <param name="confirmedBy">Who confirmed a lowering from T0 or T1; the second confirmation may be by the same person, but it is explicit.</param>
    public static TierOverrideVerdict Judge(
        Tier byRules, Tier byClinician, string? reason, string? person, DateTimeOffset? at, string? confirmedBy)
    {
        if (byClinician == byRules)
        {
            return new TierOverrideVerdict(byRules, TierOverrideEffect.Unchanged, []);
        }

        if (byClinician > byRules)
        {
            return new TierOverrideVerdict(byClinician, TierOverrideEffect.Raised, []);
        }

        List<TierOverrideGap> gaps = [];
        Require(reason, TierOverrideGap.Reason);
        Require(person, TierOverrideGap.Person);
        if (at is null)
        {
            gaps.Add(TierOverrideGap.Time);
        }

        if (byRules is Tier.T0 or Tier.T1)
        {
            Require(confirmedBy, TierOverrideGap.SecondConfirmation);
        }

        return gaps.Count == 0
            ? new TierOverrideVerdict(byClinician, TierOverrideEffect.Lowered, [])
            : new TierOverrideVerdict(byRules, TierOverrideEffect.Refused, gaps);

        void Require(string? value, TierOverrideGap gap)
        {
            if (string.IsNullOrWhiteSpace(value))
            {
                gaps.Add(gap);
            }
        }
    }
}

/// <summary>What became of an override.</summary>
/// <param name="Tier">The tier that counts; the tier of the rules where the override was refused.</param>
/// <param name="Effect">Whether it raised, lowered, changed nothing or was refused.</param>
/// <param name="Gaps">What is missing for a lowering.</param>
public sealed record TierOverrideVerdict(Tier Tier, TierOverrideEffect Effect, IReadOnlyList<TierOverrideGap> Gaps);

/// <summary>Effects of an override.</summary>
public enum TierOverrideEffect { Unchanged, Raised, Lowered, Refused }

/// <summary>What a lowering lacks.</summary>
public enum TierOverrideGap { Reason, Person, Time, SecondConfirmation }
