using System.Text.Json;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Reading;

/// <summary>Our reading of the model against System.Text.Json, the reference library; damaged documents are compared in <see cref="MutationTests"/>.</summary>
public sealed class ModelReadingTests
{
    [Fact]
    public void Every_example_is_read_as_the_library_reads_it()
    {
        string[] documents = [Fixture.Finished, Fixture.InProgress, .. Fixture.Examples];
        Assert.All(documents, document =>
        {
            var json = JsonDocument.Parse(document).RootElement;
            Assert.Equal(LibraryReading.Write(LibraryReading.Read(json)), LibraryReading.Write(ModelReading.Read(json)));
        });
    }

    [Theory]
    [InlineData("\"surprise\": 1", "a member that the model does not have")]
    [InlineData("\"status\": \"Finished\"", "a code in another case")]
    [InlineData("\"status\": \"0\"", "a code by its number")]
    public void What_the_schema_would_have_refused_is_not_passed_over(string member, string reason)
    {
        var json = JsonDocument.Parse($"{{{member}}}").RootElement;

        Assert.True(Record.Exception(() => ModelReading.Read(json)) is InvalidDataException, reason);
    }
}
