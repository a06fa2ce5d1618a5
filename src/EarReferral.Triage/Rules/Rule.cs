using EarReferral.Triage.Decisions;

namespace EarReferral.Triage.Rules;

/// <summary>One red-flag rule as read from its PlanDefinition.</summary>
/// <param name="Id">Number such as <c>R-HL-01</c>; variants of one rule with different tiers share it and differ in their canonical URL.</param>
/// <param name="Canonical">Canonical URL with version.</param>
/// <param name="Title">Name of the rule.</param>
/// <param name="Level">Whether it is asked once per ear or once per patient.</param>
/// <param name="Tier">Tier when it fires.</param>
/// <param name="Strength">How strongly the source puts it.</param>
/// <param name="Destination">Kind of receiver.</param>
/// <param name="Deadline">How long after the decision the patient must be seen.</param>
/// <param name="TimeLimit">The same in words.</param>
/// <param name="Reason">Sentence for the clinician.</param>
/// <param name="PatientText">Sentence for the patient.</param>
/// <param name="Source">Published source.</param>
/// <param name="Provenance">How the source was seen, in words.</param>
/// <param name="Suppressible">May be silenced when the complaint was investigated before and is unchanged; never for T0 and T1.</param>
/// <param name="Asks">Missing facts become a question instead of silence; always for T0 and T1.</param>
/// <param name="Condition">The FHIRPath condition as published.</param>
public sealed record Rule(
    string Id,
    string Canonical,
    string Title,
    RuleLevel Level,
    Tier Tier,
    RuleStrength Strength,
    string Destination,
    Deadline Deadline,
    string TimeLimit,
    string Reason,
    string PatientText,
    string Source,
    string Provenance,
    bool Suppressible,
    bool Asks,
    string Condition);

/// <summary>Whether a rule is asked for each ear or for the patient.</summary>
public enum RuleLevel { Ear, Patient }

/// <summary>A time limit counted from the decision.</summary>
/// <param name="Amount">Number of hours or days.</param>
/// <param name="Unit">Elapsed hours or calendar days of the clinic's zone.</param>
public readonly record struct Deadline(int Amount, DeadlineUnit Unit)
{
    /// <summary>Shorter before longer, a day being 24 hours.</summary>
    internal static Comparer<Deadline> ByLength { get; } = Comparer<Deadline>.Create((one, other) => one.UsualHours.CompareTo(other.UsualHours));

    private int UsualHours => Unit is DeadlineUnit.Days ? 24 * Amount : Amount;

    /// <summary>True where this limit ends after the other at least when the clocks change: days are of the wall clock, hours are not.</summary>
    internal bool MayEndAfter(Deadline other) => Unit == other.Unit ? Amount > other.Amount : UsualHours + 1 > other.UsualHours;

    /// <summary>The instant at which the limit ends; days keep the wall-clock time of the clinic.</summary>
    public DateTimeOffset From(DateTimeOffset decision, TimeZoneInfo zone)
    {
        if (Unit is DeadlineUnit.Hours)
        {
            return decision.AddHours(Amount);
        }

        var wall = TimeZoneInfo.ConvertTime(decision, zone).DateTime.AddDays(Amount);
        // A wall-clock time that the change to summer time skips does not exist; the deadline is then the hour after it.
        var existing = zone.IsInvalidTime(wall) ? wall.AddHours(1) : wall;
        return new DateTimeOffset(existing, zone.GetUtcOffset(existing));
    }
}

/// <summary>Units of a deadline.</summary>
public enum DeadlineUnit { Hours, Days }
