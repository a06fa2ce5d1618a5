namespace EarReferral.Summary.Sheets;

/// <summary>A document for people. Page and paper are made from the same sheet, so that neither says what the other does not.</summary>
/// <param name="Title">Its heading.</param>
/// <param name="Language">BCP 47 tag of its words.</param>
/// <param name="Running">Who it is about, for the head of every sheet of paper: a page that comes loose must still name its patient.</param>
/// <param name="Before">What stands above the heading.</param>
/// <param name="Blocks">What stands below it.</param>
public sealed record Sheet(string Title, string Language, string Running, IReadOnlyList<Notice> Before, IReadOnlyList<Block> Blocks);

/// <summary>How large the words are.</summary>
public enum Print
{
    /// <summary>The usual size.</summary>
    Usual,

    /// <summary>
    /// Large: 18 points on paper, and as much on a page. Common practice for readers with low vision is 16 points or more; no source.
    /// </summary>
    Large,
}
