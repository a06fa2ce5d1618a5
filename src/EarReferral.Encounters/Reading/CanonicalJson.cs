using System.Buffers;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace EarReferral.Encounters.Reading;

/// <summary>The canonical form of a JSON document (RFC 8785) and its hash, so that order and white space of a post do not make it another one.</summary>
public static class CanonicalJson
{
    /// <summary>Canonical bytes of a well-formed document without duplicate names.</summary>
    /// <param name="document">UTF-8 JSON that the reader accepted; malformed JSON is a caller's error and throws.</param>
    public static byte[] Canonicalize(ReadOnlyMemory<byte> document)
    {
        using var json = JsonDocument.Parse(document);
        var output = new ArrayBufferWriter<byte>(document.Length);
        Write(json.RootElement, output);
        return output.WrittenSpan.ToArray();
    }

    /// <summary>SHA-256 of the canonical bytes in lower-case hexadecimal.</summary>
    /// <param name="document">UTF-8 JSON that the reader accepted.</param>
    public static string Hash(ReadOnlyMemory<byte> document) => Convert.ToHexStringLower(SHA256.HashData(Canonicalize(document)));

    private static void Write(JsonElement element, ArrayBufferWriter<byte> output)
    {
        switch (element.ValueKind)
        {
            case JsonValueKind.Object:
                WriteObject(element, output);
                break;
            case JsonValueKind.Array:
                WriteArray(element, output);
                break;
            case JsonValueKind.String:
                WriteText(element.GetString()!, output);
                break;
            case JsonValueKind.Number:
                Ascii(EcmaScriptNumber.Format(element.GetDouble()), output);
                break;
            case JsonValueKind.True:
                output.Write("true"u8);
                break;
            case JsonValueKind.False:
                output.Write("false"u8);
                break;
            case JsonValueKind.Null:
                output.Write("null"u8);
                break;
            default:
                throw new InvalidOperationException("A parsed document has no undefined value.");
        }
    }

    private static void WriteObject(JsonElement element, ArrayBufferWriter<byte> output)
    {
        output.Write("{"u8);
        var first = true;

        // RFC 8785 3.2.3 sorts names by UTF-16 code units, which is what ordinal comparison does.
        foreach (var member in element.EnumerateObject().OrderBy(member => member.Name, StringComparer.Ordinal))
        {
            if (!first)
            {
                output.Write(","u8);
            }

            first = false;
            WriteText(member.Name, output);
            output.Write(":"u8);
            Write(member.Value, output);
        }

        output.Write("}"u8);
    }

    private static void WriteArray(JsonElement element, ArrayBufferWriter<byte> output)
    {
        output.Write("["u8);
        var first = true;
        foreach (var item in element.EnumerateArray())
        {
            if (!first)
            {
                output.Write(","u8);
            }

            first = false;
            Write(item, output);
        }

        output.Write("]"u8);
    }

    // RFC 8785 3.2.2.2: only what must be escaped is, in its shortest form.
    private static void WriteText(string text, ArrayBufferWriter<byte> output)
    {
        var escaped = new StringBuilder(text.Length + 2).Append('"');
        foreach (var unit in text)
        {
            _ = unit switch
            {
                '"' => escaped.Append("\\\""),
                '\\' => escaped.Append(@"\\"),
                '\b' => escaped.Append(@"\b"),
                '\t' => escaped.Append(@"\t"),
                '\n' => escaped.Append(@"\n"),
                '\f' => escaped.Append(@"\f"),
                '\r' => escaped.Append(@"\r"),
                < ' ' => escaped.Append(CultureInfo.InvariantCulture, $"\\u{(int)unit:x4}"),
                _ => escaped.Append(unit),
            };
        }

        Encoding.UTF8.GetBytes(escaped.Append('"').ToString(), output);
    }

    private static void Ascii(string text, ArrayBufferWriter<byte> output) => Encoding.ASCII.GetBytes(text, output);
}
