using Firely.Fhir.Validation;
using Hl7.Fhir.Model;
using Newtonsoft.Json.Linq;

namespace EarReferral.Validation.Engine;

#pragma warning disable ExperimentalApi // The only way into a compiled schema; the comparison with the stock engine notices when it changes.

/// <summary>The check of elements against their datatype, which asks the original only about content that it has not yet seen pass.</summary>
internal sealed class RememberedDatatype(IGroupValidatable original, int number, CleanMemory clean) : IGroupValidatable
{
    public ResultReport Validate(PocoNode input, ValidationSettings vc, ValidationState state) => Validate((IEnumerable<PocoNode>)[input], vc, state);

    public ResultReport Validate(IEnumerable<PocoNode> input, ValidationSettings vc, ValidationState state)
    {
        var keys = input.Select(node => ContentKey.OfElement(node.Poco, number)).ToList();
        if (keys.Count > 0 && keys.TrueForAll(key => key is { } known && clean.Contains(known)))
        {
            return ResultReport.SUCCESS;
        }

        var report = original.Validate(input, vc, state);
        if (report is { IsSuccessful: true, Evidence.Count: 0 })
        {
            keys.OfType<ContentDigest>().ToList().ForEach(clean.Add);
        }

        return report;
    }

    public JToken ToJson() => original.ToJson();
}
