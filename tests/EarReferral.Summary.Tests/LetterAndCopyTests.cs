using EarReferral.Summary.Pages;
using EarReferral.Summary.Paper;
using EarReferral.Summary.Sheets;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using UglyToad.PdfPig;

namespace EarReferral.Summary.Tests;

public sealed class LetterAndCopyTests
{
    public static TheoryData<string> Bundles() => ExampleDocument.Files();

    public static TheoryData<string> Referrals() =>
        [.. Directory.EnumerateFiles(Repository.At("examples", "bundles"), "*.json").Select(file => Path.GetFileName(file)).Where(file => ExampleDocument.Read(file).Entry.Exists(entry => entry.Resource is ServiceRequest)).Order(StringComparer.Ordinal)];

    /// <summary>All notes of the referral stand in the letter, medicines, anticoagulant and allergies in their own part, and nothing important among the rest.</summary>
    [Theory]
    [MemberData(nameof(Referrals))]
    public void Letter_SaysEverythingThatTheReferralNotes(string file)
    {
        var bundle = ExampleDocument.Beginning<ServiceRequest>(file);
        var request = (ServiceRequest)bundle.Entry[0].Resource!;

        var sections = ReferralLetter.Of(bundle, [], []).Blocks.OfType<Section>().ToDictionary(section => section.Title, section => section.Blocks.SelectMany(Lines).ToList());

        Assert.All(request.Note, note => Assert.Contains(note.Text, sections.Values.SelectMany(lines => lines)));
        Assert.Equal(["Allergies", "Anticoagulant", "Medicines"], sections["Medicines and allergies"].Select(line => line[..line.IndexOf(':', StringComparison.Ordinal)]).Order());
        Assert.Contains(sections["What is asked, and by when"], line => line.StartsWith("Urgency: ", StringComparison.Ordinal));
        Assert.Contains(sections["What is asked, and by when"], line => line.StartsWith("Deadline: ", StringComparison.Ordinal));
        Assert.NotEmpty(sections["Reaching the patient"]);
        Assert.Equal(["No call about this referral is on record."], sections["Calls"]);
        Assert.DoesNotContain(sections.GetValueOrDefault("Also") ?? [], line => line.StartsWith("Reason", StringComparison.Ordinal) || line.Contains("telephone", StringComparison.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Referrals))]
    public void Letter_FitsOnOnePage(string file)
    {
        using var pdf = PdfDocument.Open(PdfPaper.Render(ReferralLetter.Of(ExampleDocument.Beginning<ServiceRequest>(file), [], ["Westerquay General ENT (Mon-Fri 08:30-17:00): 01632 960123", "Site switchboard, at all other hours: 01632 960199"]), Guid.Empty, DateTimeOffset.UnixEpoch, preferOnePage: true));

        Assert.Equal(1, pdf.NumberOfPages);
        Assert.All(pdf.GetPage(1).Letters, letter => Assert.True(letter.PointSize > 6.5));
    }

    [Theory]
    [InlineData(RequestStatus.Revoked, "Withdrawn. Do not act on this letter; ask the clinic.")]
    [InlineData(RequestStatus.EnteredInError, "Entered in error. Do not act on this letter; ask the clinic.")]
    public void LetterThatNoLongerStands_SaysSoFirst(RequestStatus status, string words)
    {
        var bundle = ExampleDocument.Beginning<ServiceRequest>("09-sudden-loss-12-days.bundle.json");
        ((ServiceRequest)bundle.Entry[0].Resource!).Status = status;

        Assert.Equal(words, Assert.Single(ReferralLetter.Of(bundle, [], []).Before).Text);
    }

    /// <summary>Plain words: common practice, no source.</summary>
    [Theory]
    [MemberData(nameof(Bundles))]
    public void Copy_NamesNoQuarterOfTheDrumInTheTradesWords(string file)
    {
        var words = string.Join('\n', PatientCopy.Of(ExampleDocument.Read(file)).Blocks.OfType<Section>().SelectMany(section => section.Blocks).SelectMany(Lines));

        Assert.DoesNotContain("postero", words, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("antero", words, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain(" drum,", words, StringComparison.Ordinal);
        if (file.StartsWith("03-", StringComparison.Ordinal))
        {
            Assert.Contains("lower back part", words, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Letter_NamesEveryNumber_AndSaysWhenThereIsNone()
    {
        var bundle = ExampleDocument.Beginning<ServiceRequest>("09-sudden-loss-12-days.bundle.json");

        var with = ReferralLetter.Of(bundle, [], ["ENT (Mon-Fri 08:30-17:00): 01632 960123", "On call, at all other hours: 01632 960199"]);
        var without = ReferralLetter.Of(bundle, [], []);

        Assert.Equal(["ENT (Mon-Fri 08:30-17:00): 01632 960123", "On call, at all other hours: 01632 960199"], Part(with));
        Assert.Contains("999", Assert.Single(Part(without)), StringComparison.Ordinal);

        static List<string> Part(Sheet letter) => [.. letter.Blocks.OfType<Section>().Single(section => section.Title == "Telephone").Blocks.SelectMany(Lines)];
    }

    [Fact]
    public void Letter_NamesWhoWasPhoned()
    {
        var letter = ReferralLetter.Of(ExampleDocument.Beginning<ServiceRequest>("09-sudden-loss-12-days.bundle.json"), ["Telephoned 31 March 2026, 13:40 UTC."], []);

        Assert.Equal(["Telephoned 31 March 2026, 13:40 UTC."], letter.Blocks.OfType<Section>().Single(section => section.Title == "Calls").Blocks.SelectMany(Lines));
    }

    /// <summary>The patient reads what the referral tells the patient, or else what the summary does, and always whom to ask.</summary>
    [Theory]
    [MemberData(nameof(Bundles))]
    public void PatientCopy_TellsWhatTheRecordTells(string file)
    {
        var document = ExampleDocument.Read(file);
        var lines = PatientCopy.Of(document).Blocks.OfType<Section>().SelectMany(section => section.Blocks.SelectMany(Lines)).ToList();
        var request = document.Entry.Select(entry => entry.Resource).OfType<ServiceRequest>().SingleOrDefault();

        Assert.DoesNotContain("Nothing about this was recorded. Ask the clinic before you leave.", lines);
        Assert.Contains(lines, line => line.StartsWith("Harbour Lane Ear Care", StringComparison.Ordinal));
        if (request is not null)
        {
            Assert.Contains(request.PatientInstruction!, lines);
            Assert.Contains(lines, line => line.StartsWith("You are referred to Westerquay General", StringComparison.Ordinal) && line.Contains("to be seen by ", StringComparison.Ordinal));
        }
    }

    [Fact]
    public void PatientCopy_SaysWhatWasLeftPerEar()
    {
        var copy = PatientCopy.Of(ExampleDocument.Read("03-thin-layer-left-on-drum.bundle.json"));

        var ear = copy.Blocks.OfType<Section>().Single(section => section.Title == "Your right ear").Blocks.SelectMany(Lines).ToList();
        Assert.Contains("Removal of ear wax: it is done. A thin layer was left on the eardrum on purpose.", ear);
        Assert.Contains(ear, line => line.StartsWith("Left in the ear on purpose: wax", StringComparison.Ordinal));
    }

    [Fact]
    public void PatientWithoutGpPractice_IsToldSo()
    {
        var document = ExampleDocument.Read("17-no-gp-practice.bundle.json");

        Assert.Contains(PatientCopy.Of(document).Blocks.OfType<Section>().SelectMany(section => section.Blocks.SelectMany(Lines)), line => line.StartsWith("We have no GP practice on record for you", StringComparison.Ordinal));
        Assert.Contains(SummaryPage.Of(document).Blocks.OfType<Notice>(), notice => notice.Text.StartsWith("No GP practice is recorded.", StringComparison.Ordinal));
    }

    /// <summary>A copy that was withdrawn goes on telling nobody what to do.</summary>
    [Fact]
    public void CopyEnteredInError_GivesNoInstruction()
    {
        var document = ExampleDocument.Read("09-sudden-loss-12-days.bundle.json");
        ((Composition)document.Entry[0].Resource!).Status = CompositionStatus.EnteredInError;
        var request = document.Entry.Select(entry => entry.Resource).OfType<ServiceRequest>().Single();

        var copy = PatientCopy.Of(document);

        Assert.Equal("This sheet was made by mistake. Do not follow it; ask the clinic.", Assert.Single(copy.Before).Text);
        Assert.DoesNotContain(copy.Blocks.OfType<Section>().SelectMany(section => section.Blocks.SelectMany(Lines)), line => line == request.PatientInstruction);
    }

    private static IEnumerable<string> Lines(Block block) => block switch
    {
        Paragraph paragraph => [paragraph.Text],
        Bullets bullets => bullets.Items,
        _ => [],
    };
}
