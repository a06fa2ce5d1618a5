using Firely.Fhir.Validation;
using Hl7.Fhir.Model;
using Newtonsoft.Json.Linq;

namespace EarReferral.Validation.Engine;

#pragma warning disable ExperimentalApi // The only way into a compiled schema; the comparison with the stock engine notices when it changes.

/// <summary>A check of one element that asks the original only about what is neither on the list of the value set nor yet seen to pass.</summary>
internal sealed class RememberedBinding(IValidatable original, int number, CleanMemory clean, ListedCodes? listed) : IValidatable
{
    public ResultReport Validate(PocoNode input, ValidationSettings vc, ValidationState state)
    {
        if (listed?.Hold(input.Poco) == true)
        {
            return ResultReport.SUCCESS;
        }

        if (ContentKey.OfElement(input.Poco, number) is not { } key)
        {
            return original.Validate(input, vc, state);
        }

        if (clean.Contains(key))
        {
            return ResultReport.SUCCESS;
        }

        var report = original.Validate(input, vc, state);
        if (report is { IsSuccessful: true, Evidence.Count: 0 })
        {
            clean.Add(key);
        }

        return report;
    }

    public JToken ToJson() => original.ToJson();
}
