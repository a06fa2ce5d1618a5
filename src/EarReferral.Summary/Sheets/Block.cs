using EarReferral.Summary.Drawing;

namespace EarReferral.Summary.Sheets;

/// <summary>One part of a sheet, from top to bottom. Texts are plain words; whoever renders them escapes them.</summary>
public abstract record Block;

/// <summary>What must be read before anything else.</summary>
public sealed record Notice(string Text) : Block;

/// <summary>Named values on few lines.</summary>
public sealed record Facts(IReadOnlyList<Fact> Items) : Block;

/// <summary>One named value.</summary>
public sealed record Fact(string Name, string Value);

/// <summary>A paragraph.</summary>
/// <param name="Text">Its words.</param>
/// <param name="IsLead">Whether it introduces what follows and is kept with it.</param>
public sealed record Paragraph(string Text, bool IsLead = false) : Block;

/// <summary>A bulleted list.</summary>
public sealed record Bullets(IReadOnlyList<string> Items) : Block;

/// <summary>Pictures that belong together, side by side where there is room.</summary>
/// <param name="Items">The pictures.</param>
/// <param name="Key">Prefix of their ids; one sheet has each key once, and it is an XML name.</param>
public sealed record Pictures(IReadOnlyList<Picture> Items, string Key) : Block;

/// <summary>A part with a heading of its own.</summary>
/// <param name="Title">The heading.</param>
/// <param name="Blocks">What stands under it; no section.</param>
/// <param name="IsFirst">Whether it is what the reader must see first; it is framed.</param>
public sealed record Section(string Title, IReadOnlyList<Block> Blocks, bool IsFirst = false) : Block;

/// <summary>Small print at the end.</summary>
public sealed record SmallPrint(IReadOnlyList<string> Paragraphs) : Block;
