using System.Diagnostics;
using System.Linq.Expressions;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Search;

/// <summary>Turns criteria into conditions on the index tables.</summary>
internal static class SearchSql
{
    private const string NhsNumber = "https://fhir.nhs.uk/Id/nhs-number";

    /// <remarks>
    /// Where something in the search leads to few rows, such as a patient, the rest is asked of each of those rows. Left to itself SQLite reads
    /// every row of the index that has, say, the category asked for, which grows with the store.
    /// </remarks>
    public static IQueryable<ResourceRow> Matching(StoreContext store, Reach reach, SearchQuery query)
    {
        var leads = query.Criteria.Any(LeadsToFew);
        return query.Criteria.OrderByDescending(LeadsToFew).Aggregate(
            store.Resources.Where(row => row.Type == query.Type).Within(reach, store),
            (rows, criterion) => Narrow(store, reach, rows, criterion, query.Type == "Patient", leads && !LeadsToFew(criterion)));
    }

    private static bool LeadsToFew(SearchCriterion criterion) =>
        criterion is SearchCriterion.Ids or SearchCriterion.References or SearchCriterion.ByIdentifier or SearchCriterion.InCompartment or SearchCriterion.Tokens { Parameter: "identifier", Not: false };

    /// <summary>
    /// How many patients within reach have an NHS number that was asked for and are not among the matches, because it is not
    /// settled who they are.
    /// </summary>
    public static Task<int> CountWithheldAsync(StoreContext store, Reach reach, SearchQuery query, CancellationToken cancellationToken)
    {
        var terms = query.Criteria.SelectMany(criterion => criterion switch
        {
            SearchCriterion.ByIdentifier { TargetType: "Patient" } chained => chained.AnyOf,
            SearchCriterion.Tokens { Parameter: "identifier" } tokens when query.Type == "Patient" => tokens.AnyOf,
            _ => [],
        }).Where(MayBeNhsNumber).ToList();
        if (terms.Count == 0)
        {
            return Task.FromResult(0);
        }

        return WithNumber(store.PatientLinks.Within(reach), terms)
            .Where(link => store.IdentityConflicts.Any(conflict => conflict.PatientKey == link.PatientKey))
            .Select(link => link.PatientKey)
            .Distinct()
            .CountAsync(cancellationToken);
    }

    private static IQueryable<ResourceRow> Narrow(
        StoreContext store, Reach reach, IQueryable<ResourceRow> rows, SearchCriterion criterion, bool isPatient, bool rowByRow)
    {
        switch (criterion)
        {
            case SearchCriterion.Ids ids:
                return rows.Where(row => ids.AnyOf.Contains(row.Id));
            case SearchCriterion.LastUpdated updated:
                return rows.Where(AnyOf(updated.AnyOf.Select(UpdatedWithin)));
            case SearchCriterion.Tokens { Parameter: "identifier", Not: false } tokens when isPatient:
                return Having(rows, Identified(store, tokens.AnyOf));
            case SearchCriterion.Tokens tokens:
                var named = WithToken(store, tokens.Parameter, tokens.AnyOf);
                return tokens.Not ? rows.Where(row => !named.Contains(row.Key)) : Having(rows, named, rowByRow);
            case SearchCriterion.Dates dates:
                return Having(rows, store.SearchDates
                    .Where(row => row.Parameter == dates.Parameter).Where(AnyOf(dates.AnyOf.Select(Within))).Select(row => row.ResourceKey), rowByRow);
            case SearchCriterion.References references:
                return Having(rows, store.SearchReferences
                    .Where(row => row.Parameter == references.Parameter).Where(AnyOf(references.AnyOf.Select(LeadsTo))).Select(row => row.ResourceKey));
            case SearchCriterion.Texts texts:
                return Having(rows, store.SearchTexts
                    .Where(row => row.Parameter == texts.Parameter).Where(AnyOf(texts.AnyOf.Select(text => texts.Anywhere ? Contains(text) : StartsWith(text)))).Select(row => row.ResourceKey), rowByRow);
            case SearchCriterion.ByIdentifier chained:
                // What the chain runs through is itself a read, so it must be within reach too.
                var targets = Having(
                    store.Resources.Where(row => row.Type == chained.TargetType).Within(reach, store),
                    chained.TargetType == "Patient" ? Identified(store, chained.AnyOf) : WithToken(store, "identifier", chained.AnyOf)).Select(row => row.Id);
                return Having(rows, store.SearchReferences
                    .Where(row => row.Parameter == chained.Parameter && row.TargetType == chained.TargetType && targets.Contains(row.TargetId))
                    .Select(row => row.ResourceKey));
            case SearchCriterion.InCompartment compartment:
                // The owner is a read too: a compartment of somebody out of reach looks empty.
                var owners = store.Resources.Where(row => row.Type == compartment.Type && row.Id == compartment.Id).Within(reach, store).Select(row => row.Id);
                return Having(rows, store.SearchReferences
                    .Where(row => compartment.AnyParameter.Contains(row.Parameter) && row.TargetType == compartment.Type && owners.Contains(row.TargetId))
                    .Select(row => row.ResourceKey));
            case SearchCriterion.Presence presence:
                var having = WithAny(store, presence.Parameter);
                return presence.IsMissing ? rows.Where(row => !having.Contains(row.Key)) : Having(rows, having, rowByRow);
            default:
                throw new UnreachableException("SearchCriterion is a closed union.");
        }
    }

    private static IQueryable<ResourceRow> Having(IQueryable<ResourceRow> rows, IQueryable<long> keys, bool rowByRow = false) =>
        rowByRow ? rows.Where(row => keys.Any(key => key == row.Key)) : rows.Where(row => keys.Contains(row.Key));

    /// <summary>
    /// Patients by identifier. An NHS number finds a patient by what any of its visits said of it, and never one that contradicts
    /// itself or another, nor one that a person unlinked.
    /// </summary>
    private static IQueryable<long> Identified(StoreContext store, IReadOnlyList<TokenTerm> terms)
    {
        var withheld = store.IdentityConflicts.Select(conflict => (Guid?)conflict.PatientKey)
            .Concat(store.IdentityDecisions.Where(decision => decision.Holds && !decision.Linked).Select(decision => (Guid?)decision.PatientKey));
        var named = store.SearchTokens
            .Where(row => row.Parameter == "identifier")
            .Where(AnyOf(terms.Select(Is)))
            .Where(row => row.System != NhsNumber || !withheld.Contains(row.Resource!.PatientKey))
            .Select(row => row.ResourceKey);
        var numbers = terms.Where(MayBeNhsNumber).ToList();
        if (numbers.Count == 0)
        {
            return named;
        }

        var linked = WithNumber(store.PatientLinks, numbers).Select(link => (Guid?)link.PatientKey);
        return named.Union(store.Resources
            .Where(row => row.Type == "Patient" && linked.Contains(row.PatientKey) && !withheld.Contains(row.PatientKey))
            .Select(row => row.Key));
    }

    private static bool MayBeNhsNumber(TokenTerm term) => term.AnySystem || term.System == NhsNumber;

    private static IQueryable<PatientLinkRow> WithNumber(IQueryable<PatientLinkRow> links, IReadOnlyList<TokenTerm> terms)
    {
        var any = terms.Any(term => term.Code is null);
        var codes = terms.Select(term => term.Code).OfType<string>().ToList();
        return links.Where(link => link.Counts && link.NhsNumber != null && (any || codes.Contains(link.NhsNumber)));
    }

    private static IQueryable<long> WithToken(StoreContext store, string parameter, IReadOnlyList<TokenTerm> terms) => store.SearchTokens
        .Where(row => row.Parameter == parameter).Where(AnyOf(terms.Select(Is))).Select(row => row.ResourceKey);

    private static IQueryable<long> WithAny(StoreContext store, SearchParameter parameter)
    {
        var name = parameter.Name;
        return parameter.Kind switch
        {
            SearchParameterKind.Token => store.SearchTokens.Where(row => row.Parameter == name).Select(row => row.ResourceKey),
            SearchParameterKind.Reference or SearchParameterKind.Uri => store.SearchReferences.Where(row => row.Parameter == name).Select(row => row.ResourceKey),
            SearchParameterKind.Date => store.SearchDates.Where(row => row.Parameter == name).Select(row => row.ResourceKey),
            SearchParameterKind.Text => store.SearchTexts.Where(row => row.Parameter == name).Select(row => row.ResourceKey),
        };
    }

    private static Expression<Func<SearchTokenRow, bool>> Is(TokenTerm term) => term switch
    {
        { AnySystem: true } => row => row.Code == term.Code,
        { Code: null } => row => row.System == term.System,
        { System: null } => row => row.System == null && row.Code == term.Code,
        _ => row => row.System == term.System && row.Code == term.Code,
    };

    private static Expression<Func<SearchReferenceRow, bool>> LeadsTo(ReferenceTerm term) => term.Type is null
        ? row => row.TargetType != "" && row.TargetId == term.Id
        : row => row.TargetType == term.Type && row.TargetId == term.Id;

    private static Expression<Func<SearchTextRow, bool>> StartsWith(string text) => row => row.Normalised.StartsWith(text);

    private static Expression<Func<SearchTextRow, bool>> Contains(string text) => row => row.Normalised.Contains(text);

    /// <summary>The comparison of two spans, as <see cref="DateRange"/> describes them.</summary>
    private static Expression<Func<SearchDateRow, bool>> Within(DateTerm term)
    {
        var (from, to) = (term.Range.From, term.Range.To);
        return term.Comparator switch
        {
            Comparator.Equal => row => from <= row.From && row.To <= to,
            Comparator.NotEqual => row => !(from <= row.From && row.To <= to),
            Comparator.Greater => row => row.To > to,
            Comparator.Less => row => row.From < from,
            Comparator.GreaterOrEqual => row => row.To > to || (from <= row.From && row.To <= to),
            Comparator.LessOrEqual => row => row.From < from || (from <= row.From && row.To <= to),
            Comparator.StartsAfter => row => row.From >= to,
            Comparator.EndsBefore => row => row.To <= from,
            Comparator.Approximate => row => row.From < to && row.To > from,
        };
    }

    /// <summary>The same comparison for the one millisecond [time, time + 1) at which a version was stored.</summary>
    private static Expression<Func<ResourceRow, bool>> UpdatedWithin(DateTerm term)
    {
        var from = DateTimeOffset.FromUnixTimeMilliseconds(term.Range.From);
        var to = DateTimeOffset.FromUnixTimeMilliseconds(term.Range.To);
        return term.Comparator switch
        {
            Comparator.Equal or Comparator.Approximate => row => row.LastUpdated >= from && row.LastUpdated < to,
            Comparator.NotEqual => row => row.LastUpdated < from || row.LastUpdated >= to,
            Comparator.Greater or Comparator.StartsAfter => row => row.LastUpdated >= to,
            Comparator.Less or Comparator.EndsBefore => row => row.LastUpdated < from,
            Comparator.GreaterOrEqual => row => row.LastUpdated >= from,
            Comparator.LessOrEqual => row => row.LastUpdated < to,
        };
    }

    private static Expression<Func<T, bool>> AnyOf<T>(IEnumerable<Expression<Func<T, bool>>> conditions)
    {
        var row = Expression.Parameter(typeof(T), "row");
        var bodies = conditions.Select(condition => new Renamed(condition.Parameters[0], row).Visit(condition.Body));
        return Expression.Lambda<Func<T, bool>>(bodies.Aggregate(Expression.OrElse), row);
    }

    private sealed class Renamed(ParameterExpression from, ParameterExpression to) : ExpressionVisitor
    {
        protected override Expression VisitParameter(ParameterExpression node) => node == from ? to : node;
    }
}
