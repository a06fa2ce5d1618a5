using EarReferral.Testing;
using EarReferral.Triage.Publication;

namespace EarReferral.Triage.Tests.Publication;

public sealed class RedFlagDocumentTests
{
    [Fact]
    public void Committed_document_holds_exactly_what_the_rules_say()
    {
        var document = File.ReadAllText(Repository.At("docs", "clinical", "red-flags.md"));
        var begin = document.IndexOf("<!-- rules:begin -->\n", StringComparison.Ordinal) + "<!-- rules:begin -->\n".Length;
        var end = document.IndexOf("<!-- rules:end -->", StringComparison.Ordinal);

        if (Environment.GetEnvironmentVariable("EAR_REFERRAL_REBUILD_DEFINITIONS") == "1")
        {
            document = document[..begin] + RedFlagDocument.Write(RuleBookFiles.Book) + document[end..];
            File.WriteAllText(Repository.At("docs", "clinical", "red-flags.md"), document);
            end = document.IndexOf("<!-- rules:end -->", StringComparison.Ordinal);
        }

        Assert.Equal(RedFlagDocument.Write(RuleBookFiles.Book), document[begin..end]);
    }
}
