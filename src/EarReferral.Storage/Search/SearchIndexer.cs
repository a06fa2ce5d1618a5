using System.Diagnostics;
using EarReferral.Storage.Schema.Rows;
using Hl7.Fhir.Model;

namespace EarReferral.Storage.Search;

/// <summary>Index rows of a resource, by the table of search parameters.</summary>
internal static class SearchIndexer
{
    public static IEnumerable<SearchRow> Rows(Resource resource, ResourceRow row) =>
        from parameter in SearchParameters.Of(resource.TypeName)
        from value in parameter.Values(resource).Distinct()
        select Row(parameter.Name, value, row);

    /// <summary>Start of the type's own date; where that is open its end, and the smallest value when there is no date.</summary>
    public static long SortDate(Resource resource) => SearchParameters.Of(resource.TypeName)
        .Where(parameter => parameter.Sorts)
        .SelectMany(parameter => parameter.Values(resource))
        .OfType<IndexValue.Date>()
        .Select(value => value.Range.From == long.MinValue ? value.Range.To : value.Range.From)
        .FirstOrDefault(long.MinValue);

    private static SearchRow Row(string parameter, IndexValue value, ResourceRow row) => value switch
    {
        IndexValue.Token token => new SearchTokenRow { Resource = row, Parameter = parameter, System = token.System, Code = token.Code },
        IndexValue.Date date => new SearchDateRow { Resource = row, Parameter = parameter, From = date.Range.From, To = date.Range.To },
        IndexValue.Reference reference => new SearchReferenceRow
        {
            Resource = row,
            Parameter = parameter,
            TargetType = reference.TargetType,
            TargetId = reference.TargetId,
        },
        IndexValue.Text text => new SearchTextRow { Resource = row, Parameter = parameter, Normalised = text.Value },
        _ => throw new UnreachableException("IndexValue is a closed union."),
    };
}
