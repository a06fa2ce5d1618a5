using System.Text;

namespace EarReferral.Summary.Paper;

/// <summary>Puts into a PDF the same names every time, each as long as the one that PDFsharp drew at random, so that nothing in the file moves.</summary>
/// <remarks>
/// PDF (ISO 32000-1, 9.6.4) puts six letters and a plus sign before the name of a font subset, so that subsets of different files differ; the metadata (XMP) name the file and its version by a UUID each.
/// </remarks>
internal static class FixedNames
{
    private const int TagLength = 6;

    /// <summary>The same bytes, changed in place.</summary>
    /// <param name="pdf">A file as PDFsharp wrote it.</param>
    /// <param name="id">What the metadata name.</param>
    public static byte[] Of(byte[] pdf, Guid id)
    {
        Tags(pdf);
        foreach (var element in new[] { "DocumentID>uuid:", "InstanceID>uuid:" })
        {
            var at = pdf.AsSpan().IndexOf(Encoding.ASCII.GetBytes(element));
            if (at < 0)
            {
                throw new InvalidOperationException($"The PDF has no {element} to make the same every time.");
            }

            Encoding.ASCII.GetBytes(id.ToString("D")).CopyTo(pdf, at + element.Length);
        }

        return pdf;
    }

    private static void Tags(byte[] pdf)
    {
        var tags = new List<byte[]>();
        var ending = "+DejaVu"u8;
        for (var at = pdf.AsSpan().IndexOf(ending); at >= 0;)
        {
            var tag = pdf.AsSpan(at - TagLength, TagLength);
            if (at > TagLength && pdf[at - TagLength - 1] == '/' && tag.IndexOfAnyExceptInRange((byte)'A', (byte)'Z') < 0)
            {
                var known = tags.FindIndex(other => other.AsSpan().SequenceEqual(pdf.AsSpan(at - TagLength, TagLength)));
                if (known < 0)
                {
                    tags.Add(tag.ToArray());
                    known = tags.Count - 1;
                }

                "EARREA"u8.CopyTo(tag);
                tag[TagLength - 1] = (byte)('A' + known);
            }

            var next = pdf.AsSpan(at + 1).IndexOf(ending);
            at = next < 0 ? -1 : at + 1 + next;
        }
    }
}
