using System.Text;
using EarReferral.Summary.Drawing;
using EarReferral.Summary.Pages;
using EarReferral.Summary.Paper;
using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;
using UglyToad.PdfPig;

namespace EarReferral.Summary.Tests;

/// <summary>The paper is read back with PdfPig, a PDF reader that shares nothing with PDFsharp, which writes it.</summary>
public sealed class PdfPaperTests
{
    private static readonly Guid Id = Guid.Parse("5f0a7a3e-9a44-4c53-8f0e-2f4a8d3a9f10");
    private static readonly DateTimeOffset Written = new(2026, 3, 31, 10, 44, 0, TimeSpan.FromHours(1));

    public static TheoryData<string> Bundles() => ExampleDocument.Files();

    /// <summary>Every word of the page stands on the paper: facts, narrative, legends of both sides and both moments.</summary>
    [Theory]
    [MemberData(nameof(Bundles))]
    public void Paper_SaysAllThatThePageSays(string file)
    {
        var sheet = SummaryPage.Of(ExampleDocument.Read(file));

        var paper = Squeezed(Text(PdfPaper.Render(sheet, Id, Written)));

        // Each word by itself, since a line break may fall inside a sentence and a page break between two.
        Assert.All(Words(sheet).SelectMany(text => text.Split(' ', StringSplitOptions.RemoveEmptyEntries)).Where(word => word.Length > 1), word => Assert.Contains(Squeezed(word), paper, StringComparison.Ordinal));
    }

    [Fact]
    public void SameSheet_GivesTheSameBytes()
    {
        var sheet = SummaryPage.Of(ExampleDocument.Read("03-thin-layer-left-on-drum.bundle.json"));

        Assert.Equal(PdfPaper.Render(sheet, Id, Written), PdfPaper.Render(sheet, Id, Written));
    }

    /// <summary>Accented letters of names from several European languages, Greek and Cyrillic, come back as they went in.</summary>
    [Theory]
    [InlineData("Brânză-Okonjo")]
    [InlineData("Ó Ceallaigh")]
    [InlineData("Wrzesiński Łódź Đặng")]
    [InlineData("Þórðarson Ærø Åse ẞ")]
    [InlineData("Παπαδόπουλος")]
    [InlineData("Щербакова Їжак")]
    public void Name_ThatTheFontCovers_ComesBackUnchanged(string name)
    {
        var text = Text(PdfPaper.Render(Of(name), Id, Written));

        Assert.Contains(Squeezed(name), Squeezed(text), StringComparison.Ordinal);
        Assert.DoesNotContain("cannot be printed", text, StringComparison.Ordinal);
    }

    /// <summary>A name from right to left, an emoji, a combining accent, a direction mark: replaced visibly, and the paper says so.</summary>
    [Theory]
    [InlineData("עברית")]
    [InlineData("محمد")]
    [InlineData("Jo 👂")]
    [InlineData("Jose\u0301")]
    [InlineData("A\u202Eb")]
    [InlineData("नमस्ते")]
    public void Name_ThatCannotBeSet_IsBoxedAndTheSheetSaysSo(string name)
    {
        var text = Squeezed(Text(PdfPaper.Render(Of(name), Id, Written)));

        Assert.Contains("□", text, StringComparison.Ordinal);
        Assert.Contains(Squeezed("Some characters cannot be printed here"), text, StringComparison.Ordinal);
    }

    [Fact]
    public void HostileName_StaysWordsHoweverLong()
    {
        var text = Squeezed(Text(PdfPaper.Render(Of("<script>alert(1)</script>) Tj ET" + new string('x', 10_000)), Id, Written)));

        Assert.Contains("<script>alert(1)</script>)TjET", text, StringComparison.Ordinal);
        Assert.True(text.Count(character => character == 'x') >= 10_000);
    }

    /// <summary>A sheet that comes loose names its patient and says how many there are.</summary>
    [Fact]
    public void EachPage_NamesThePatientAndItsNumber()
    {
        using var pdf = PdfDocument.Open(PdfPaper.Render(SummaryPage.Of(ExampleDocument.Read("03-thin-layer-left-on-drum.bundle.json")), Id, Written));

        Assert.True(pdf.NumberOfPages > 1);
        Assert.All(pdf.GetPages(), page =>
        {
            var words = Squeezed(page.Text);
            Assert.Contains("IlincaBrânză-Okonjo,born14June1987,NHSnumber9990000034", words, StringComparison.Ordinal);
            Assert.Contains($"Page{page.Number}of{pdf.NumberOfPages}", words, StringComparison.Ordinal);
        });
    }

    [Fact]
    public void LargePrint_IsAtLeastSixteenPoints()
    {
        using var pdf = PdfDocument.Open(PdfPaper.Render(PatientCopy.Of(ExampleDocument.Read("03-thin-layer-left-on-drum.bundle.json")), Id, Written, Print.Large));

        // The running head and the page number are small; what is read is not.
        var sizes = pdf.GetPages().SelectMany(page => page.Letters).GroupBy(letter => Math.Round(letter.PointSize)).ToDictionary(group => group.Key, group => group.Count());
        Assert.True(sizes.Where(size => size.Key >= 16).Sum(size => size.Value) > 0.8 * sizes.Values.Sum());
    }

    [Fact]
    public void BoldFont_CoversWhatTheCoverageOfTheRegularFontPromises()
    {
        var bold = new FontCoverage(PaperFonts.Bytes(bold: true));
        var promised = Enumerable.Range(0x20, 0x2600 - 0x20).Where(code => code is < 0xD800 or > 0xDFFF).Select(code => ((char)code).ToString()).Where(text => PaperFonts.Coverage.Fit(text).IsWhole).ToList();

        Assert.True(promised.Count > 1500);
        Assert.DoesNotContain(promised, text => !bold.Fit(text).IsWhole);
    }

    private static Sheet Of(string name)
    {
        var document = ExampleDocument.Read("16-deaf-patient-perforation.bundle.json");
        document.Entry.Select(entry => entry.Resource).OfType<Patient>().Single().Name[0].Family = name;
        return SummaryPage.Of(document);
    }

    private static IEnumerable<string> Words(Sheet sheet) => sheet.Before.Cast<Block>().Concat(sheet.Blocks).SelectMany(Words).Append(sheet.Title);

    private static IEnumerable<string> Words(Block block) => block switch
    {
        Notice notice => [notice.Text],
        Facts facts => facts.Items.SelectMany(fact => new[] { fact.Name, fact.Value }),
        Paragraph paragraph => [paragraph.Text],
        Bullets bullets => bullets.Items,
        Pictures pictures => pictures.Items.SelectMany(picture => picture.Legend.Select(line => line.ToString()).Append(picture.Title).Concat(picture.Shapes.OfType<Label>().Select(label => label.Text))),
        Section section => section.Blocks.SelectMany(Words).Append(section.Title),
        SmallPrint small => small.Paragraphs,
        _ => throw new ArgumentOutOfRangeException(nameof(block), block, "Not a part of a sheet."),
    };

    private static string Text(byte[] pdf)
    {
        using var document = PdfDocument.Open(pdf);
        return string.Join(' ', document.GetPages().Select(page => page.Text));
    }

    private static string Squeezed(string text) => new StringBuilder().AppendJoin(string.Empty, text.Where(character => !char.IsWhiteSpace(character))).ToString();
}
