using EarReferral.Encounters.Reading;
using EarReferral.Testing;

namespace EarReferral.Encounters.Tests;

public sealed class ContractDocumentTests
{
    [Fact]
    public void The_table_of_the_contract_document_lists_exactly_the_problem_catalogue()
    {
        var rows = File.ReadLines(Repository.At("docs", "contract.md"))
            .SkipWhile(line => line != "| Id | Meaning |")
            .Skip(2)
            .TakeWhile(line => line.StartsWith('|'));

        Assert.Equal(ProblemCatalogue.All.Select(definition => $"| `{definition.Id}` | {definition.Sentence} |"), rows);
    }
}
