using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using EarReferral.Referrals.Clocks;

namespace EarReferral.Delivery.Decisions;

/// <summary>Our own wait between attempts: half the age of the trouble, between a floor and a cap. It never gives up.</summary>
/// <remarks>Common practice, no source for the figures. Growing with age needs no counter and survives a restart.</remarks>
internal static class Backoff
{
    // A trouble of days is not ended by asking every minute; by then everybody urgent has been telephoned about.
    private const double ShareOfAge = 1 / 50.0;
    private static readonly TimeSpan Floor = TimeSpan.FromSeconds(5);

    /// <summary>The wait before the next attempt.</summary>
    /// <param name="referralId">Spreads referrals apart, so that they do not all come back at the same moment.</param>
    /// <param name="attempt">Which attempt failed; changes the spread from one attempt to the next.</param>
    /// <param name="age">Since the first attempt.</param>
    /// <param name="urgency">The more urgent, the lower the cap.</param>
    public static TimeSpan Wait(string referralId, int attempt, TimeSpan age, ReferralUrgency urgency)
    {
        var half = age / 2;
        var cap = Cap(urgency, age);
        var wait = half < Floor ? Floor : half > cap ? cap : half;
        return wait * (0.8 + (0.4 * Fraction(referralId, attempt)));
    }

    /// <summary>The longest wait before spreading at an age: that of the tier, later a fiftieth of the age, never above that of a routine referral.</summary>
    public static TimeSpan Cap(ReferralUrgency urgency, TimeSpan age)
    {
        var (lowest, grown, highest) = (Cap(urgency), age * ShareOfAge, Cap(ReferralUrgency.Routine));
        return grown < lowest ? lowest : grown > highest ? highest : grown;
    }

    /// <summary>The longest wait of a tier before spreading, while the trouble is young.</summary>
    public static TimeSpan Cap(ReferralUrgency urgency) => urgency switch
    {
        ReferralUrgency.Emergency => TimeSpan.FromMinutes(1),
        ReferralUrgency.Immediate => TimeSpan.FromMinutes(5),
        ReferralUrgency.Urgent or ReferralUrgency.SuspectedCancer => TimeSpan.FromMinutes(30),
        ReferralUrgency.Routine => TimeSpan.FromHours(2),
    };

    // A number in [0, 1) that is the same on every machine; not a random number.
    private static double Fraction(string referralId, int attempt)
    {
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
        SHA256.HashData(Encoding.UTF8.GetBytes($"{referralId}/{attempt}"), hash);
        return BinaryPrimitives.ReadUInt32BigEndian(hash) / (double)(1UL << 32);
    }
}
