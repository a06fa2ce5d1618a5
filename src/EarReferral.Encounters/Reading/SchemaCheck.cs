using System.Text.Json;
using Json.Schema;

namespace EarReferral.Encounters.Reading;

/// <summary>The contract's schema, compiled once.</summary>
internal static class SchemaCheck
{
    private static readonly JsonSchema Schema = JsonSchema.FromText(EncounterSchema.Text, new BuildOptions { SchemaRegistry = new SchemaRegistry() });

    private static readonly EvaluationOptions Flag = Options(OutputFormat.Flag);
    private static readonly EvaluationOptions List = Options(OutputFormat.List);

    /// <summary>Problems of members and single values; empty when the document has the contract's form.</summary>
    public static IReadOnlyList<EncounterProblem> Check(JsonElement document)
    {
        if (Schema.Evaluate(document, Flag).IsValid)
        {
            return [];
        }

        return Problems(document);
    }

    /// <summary>The same for a document that is known to be wrong, without the quick look first.</summary>
    public static IReadOnlyList<EncounterProblem> Problems(JsonElement document) => SchemaProblems.From(document, Schema.Evaluate(document, List));

    private static EvaluationOptions Options(OutputFormat format)
    {
        var formats = new FormatRegistry();
        formats.Register(new PredicateFormat("date-time", value => value.ValueKind != JsonValueKind.String || value.TryGetDateTimeOffset(out _)));
        formats.Register(new PredicateFormat("date", value => value.ValueKind != JsonValueKind.String || PartialDate.TryParse(value.GetString(), out _)));
        formats.Register(new PredicateFormat("partial-date", value => value.ValueKind != JsonValueKind.String || PartialDate.TryParse(value.GetString(), out _)));
        return new EvaluationOptions { OutputFormat = format, RequireFormatValidation = true, FormatRegistry = formats };
    }
}
