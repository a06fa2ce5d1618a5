namespace EarReferral.Sandbox.Faults;

/// <summary>Holds the fault in force, decides which requests it strikes and counts them.</summary>
internal sealed class FaultSwitch
{
    private readonly Lock gate = new();
    private readonly Dictionary<string, FaultCount> counts = [];
    private FaultPlan plan = new();
    private Random random = new(0);
    private int struck;

    public void Set(FaultPlan next)
    {
        lock (gate)
        {
            plan = next;
            random = new Random(next.Seed);
            struck = 0;
        }
    }

    /// <summary>The fault that strikes the next request; its mode is <see cref="FaultMode.None"/> when it goes unharmed.</summary>
    public FaultPlan Next(bool isSearch)
    {
        lock (gate)
        {
            var next = Choose(isSearch);
            var name = next.Mode is FaultMode.Status or FaultMode.RetryAfter ? $"{next.Mode}{next.Status}" : $"{next.Mode}";
            var count = counts.GetValueOrDefault(name, new FaultCount(0, 0));
            counts[name] = isSearch ? count with { Searches = count.Searches + 1 } : count with { Transactions = count.Transactions + 1 };
            return next;
        }
    }

    /// <summary>How many requests went which way since the program started.</summary>
    public IReadOnlyDictionary<string, FaultCount> Counts()
    {
        lock (gate)
        {
            return counts.OrderBy(pair => pair.Key, StringComparer.Ordinal).ToDictionary();
        }
    }

    private FaultPlan Choose(bool isSearch)
    {
        if (plan.Mode == FaultMode.None || (isSearch && !plan.Searches) || struck >= plan.Times || random.NextDouble() >= plan.Rate)
        {
            return new FaultPlan();
        }

        struck++;
        return plan.Mode == FaultMode.Mix ? OneOfSix(random.Next(6)) : plan;
    }

    private FaultPlan OneOfSix(int number) => number switch
    {
        0 => plan with { Mode = FaultMode.Status, Status = 503 },
        1 => plan with { Mode = FaultMode.RetryAfter, Status = 429 },
        2 => plan with { Mode = FaultMode.ResetAfterAccept },
        3 => plan with { Mode = FaultMode.Late },
        4 => plan with { Mode = FaultMode.Garbage200 },
        _ => plan with { Mode = FaultMode.HalfAnswer },
    };
}
