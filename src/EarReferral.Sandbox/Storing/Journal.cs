using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace EarReferral.Sandbox.Storing;

/// <summary>An append-only file of JSON lines, on disk before <see cref="Append"/> returns.</summary>
internal sealed class Journal : IDisposable
{
    private static readonly JsonSerializerOptions Format = new(JsonSerializerDefaults.Web) { Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase) } };
    private readonly FileStream file;

    private Journal(FileStream file) => this.file = file;

    public static Journal Open(string folder)
    {
        Directory.CreateDirectory(folder);
        return new Journal(new FileStream(Path.Combine(folder, "received.jsonl"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.Read));
    }

    /// <summary>Reads every whole line and leaves the file ready to be appended to.</summary>
    public IReadOnlyList<JournalLine> Replay()
    {
        file.Position = 0;
        var bytes = new byte[file.Length];
        file.ReadExactly(bytes);
        var lines = new List<JournalLine>();
        var start = 0;
        for (var end = Array.IndexOf(bytes, (byte)'\n'); end >= 0; end = Array.IndexOf(bytes, (byte)'\n', start))
        {
            lines.Add(Read(bytes.AsSpan(start, end - start), lines.Count + 1));
            start = end + 1;
        }

        // What follows the last newline was being written when the program died; its sender never got an answer and will send again.
        file.SetLength(start);
        file.Position = start;
        return lines;
    }

    public void Append(JournalLine line)
    {
        var before = file.Length;
        try
        {
            file.Write(Encoding.UTF8.GetBytes(JsonSerializer.Serialize(line, Format) + "\n"));
            file.Flush(flushToDisk: true);
        }
        catch (IOException)
        {
            file.SetLength(before);
            throw;
        }
    }

    public void Clear()
    {
        file.SetLength(0);
        file.Flush(flushToDisk: true);
    }

    public void Dispose() => file.Dispose();

    private static JournalLine Read(ReadOnlySpan<byte> line, int number)
    {
        try
        {
            return JsonSerializer.Deserialize<JournalLine>(line, Format) ?? throw new JsonException();
        }
        catch (JsonException)
        {
            throw new InvalidDataException($"line {number} of received.jsonl is damaged; move the file away to start afresh.");
        }
    }
}
