using System.Diagnostics;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Schema.Rows;

namespace EarReferral.Storage.Schema;

/// <summary>The one place that turns a <see cref="Reach"/> into a condition on rows.</summary>
internal static class ReachFilter
{
    /// <summary>Rows that no receiving system is concerned with: a destination sees none of them.</summary>
    public static IQueryable<TRow> Within<TRow>(this IQueryable<TRow> rows, Reach reach)
        where TRow : class, IReachable => reach switch
        {
            Reach.Clinic clinic => rows.Where(row => row.ClinicId == clinic.ClinicId),
            Reach.Practice practice => rows.Where(row => row.PracticeOds == practice.OdsCode),
            Reach.Destination => rows.Where(row => false),
            Reach.Everything => rows,
            _ => throw new UnreachableException("Reach is a closed union."),
        };

    /// <summary>Referrals: a destination sees those addressed to it, unless the patient objects.</summary>
    public static IQueryable<ReferralRow> Within(this IQueryable<ReferralRow> rows, Reach reach) => reach is Reach.Destination destination
        ? rows.Where(row => row.Destination == destination.Name && row.Objection != ReferralObjection.Stands)
        : rows.Within<ReferralRow>(reach);

    /// <summary>
    /// Resources: a destination sees the ServiceRequest and Task addressed to it; a practice also sees the people and
    /// organisations of a clinic that recorded an encounter for it.
    /// </summary>
    public static IQueryable<ResourceRow> Within(this IQueryable<ResourceRow> rows, Reach reach, StoreContext store) => reach switch
    {
        Reach.Destination destination => rows.Where(row => row.Destination == destination.Name),
        Reach.Practice practice => rows.Where(row => row.Shared
            ? store.Encounters.Any(encounter => encounter.ClinicId == row.ClinicId && encounter.PracticeOds == practice.OdsCode)
            : row.PracticeOds == practice.OdsCode),
        _ => rows.Within<ResourceRow>(reach),
    };
}
