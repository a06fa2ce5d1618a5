using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Record;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>The referral as one FHIR R4 transaction that a receiver can be sent twice without harm.</summary>
/// <remarks>
/// Rules of the R4 transaction interaction: full URLs are local handles, resources carry no id, every entry is a conditional create.
/// Provenance has no identifier and so no conditional create; it stays at home.
/// </remarks>
public static class ReferralBundle
{
    /// <summary>Builds the transaction from what the referral, its summary and their references need and nothing else.</summary>
    /// <exception cref="InvalidOperationException">A reference points at no resource of the encounter, which is an error of the mapping.</exception>
    public static Bundle Build(EncounterRecord record, ReferralResources referral, Composition summary)
    {
        IReadOnlyList<Resource> candidates = [.. record.Resources, .. referral.Resources, summary];
        var bundle = new Bundle { Type = Bundle.BundleType.Transaction };
        var reached = ReferenceClosure.Of([referral.Request, referral.Task, .. referral.Conditions, summary], [.. candidates.DistinctBy(it => it.Id)], complete: true);
        foreach (var (url, copy) in ReferenceClosure.WithUrns(reached))
        {
            var id = copy.Id!;
            copy.Id = null;
            bundle.Entry.Add(new Bundle.EntryComponent
            {
                FullUrl = url,
                Resource = copy,
                Request = new Bundle.RequestComponent
                {
                    Method = Bundle.HTTPVerb.POST,
                    Url = copy.TypeName,
                    IfNoneExist = IfNoneExist(id),
                },
            });
        }

        return bundle;
    }

    /// <summary>The transaction as bytes; made once and stored, because a retry must repeat the very same bytes.</summary>
    public static byte[] Serialise(Bundle bundle) => FhirJson.Serialise(bundle);

    /// <summary>
    /// The search that makes a create conditional. A UUID and this system hold nothing that a query must percent-encode except the bar,
    /// and the bar is written as itself because FHIR R4 (http.html, search.html) writes token searches so and every receiver must read that.
    /// </summary>
    public static string IfNoneExist(string id) => $"identifier={Canonicals.ResourceIdentifier}|{id}";
}
