namespace EarReferral.Sandbox.Faults;

/// <summary>Holds the fault in force and decides which requests it strikes.</summary>
internal sealed class FaultSwitch
{
    private readonly Lock gate = new();
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
    public FaultPlan Next()
    {
        lock (gate)
        {
            if (plan.Mode == FaultMode.None || struck >= plan.Times || random.NextDouble() >= plan.Rate)
            {
                return new FaultPlan();
            }

            struck++;
            return plan;
        }
    }
}
