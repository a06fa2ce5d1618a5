using System.Buffers;
using System.Globalization;
using System.Runtime.InteropServices;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Engine;

/// <summary>Makes one key for all content that the engine cannot but judge alike.</summary>
/// <remarks>
/// The key is the digest of the whole content, element by element, except where <paramref name="abstracted"/> allows to leave out
/// what no rule can see: which UUID a resource id, a reference or our own resource identifier holds (only which of them are the same), and which
/// instants stand in it (only their order). What is malformed, unusual or not understood gets no key and is judged every time.
/// </remarks>
/// <param name="abstracted">True when <see cref="ReviewedRules"/> vouch for the rules in force.</param>
internal sealed class ContentKey(bool abstracted)
{
    private const string ResourceIdentifier = "https://ear-referral.example/identifier/resource";
    private const string InstantForm = "yyyy-MM-dd'T'HH:mm:sszzz";
    private const int UuidLength = 36;

    // A resource larger than this is not worth remembering, and an attacker's is not worth the memory.
    private const int Largest = 1 << 18;

    /// <summary>The key of a resource under a profile, or null when it has none.</summary>
    public ContentDigest? Of(Resource resource, string profile)
    {
        var draft = new Draft(abstracted);
        draft.Text(profile);
        return draft.Node(resource, null, "") ? draft.Finish() : Literal(resource, profile, draft.IsUnsuitable);
    }

    /// <summary>The key of one element in the place with this number, or null when it has none; nothing is left out of it.</summary>
    public static ContentDigest? OfElement(Base element, int place)
    {
        var draft = new Draft(false) { IsElement = true };
        draft.Number(place);
        return draft.Node(element, null, "") ? draft.Finish() : null;
    }

    // Instants of several forms are not put in order; then they stand in the key as they are.
    private static ContentDigest? Literal(Resource resource, string profile, bool unsuitable)
    {
        if (unsuitable)
        {
            return null;
        }

        var draft = new Draft(false);
        draft.Text(profile);
        return draft.Node(resource, null, "") ? draft.Finish() : null;
    }

    private sealed class Draft(bool abstracted)
    {
        private static readonly SearchValues<char> Letters = SearchValues.Create("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz");

        private readonly ArrayBufferWriter<byte> _content = new(1024);
        private readonly List<string> _uuids = [];
        private readonly List<(int At, long Ticks)> _instants = [];

        /// <summary>Holds something that gives no key at all, as opposed to something that only forbids to abstract.</summary>
        public bool IsUnsuitable { get; private set; }

        /// <summary>Part of a resource: then what looks beyond itself gives no key.</summary>
        public bool IsElement { get; init; }

        /// <summary>Writes a node; false when there is no key of this kind.</summary>
        public bool Node(Base node, Base? parent, string name)
        {
            // Content that did not fit the model may look like content that did.
            if (node.HasOverflow || node is IDynamicType || _content.WrittenCount > Largest || name == "contained" || (IsElement && node is Extension or ResourceReference))
            {
                return Unsuitable();
            }

            Text(node.TypeName);
            if (node is PrimitiveType primitive && !Value(primitive, parent, name))
            {
                return false;
            }

            foreach (var (childName, child) in node.EnumerateElements())
            {
                if (childName == "value" && node is PrimitiveType)
                {
                    continue;
                }

                Text(childName);
                if (!Child(child, node, childName))
                {
                    return false;
                }
            }

            Mark('.');
            return true;
        }

        public void Text(string text)
        {
            // As it stands in memory: an encoding would make one of texts that are broken in different ways.
            Number(text.Length);
            _content.Write(MemoryMarshal.AsBytes(text.AsSpan()));
        }

        public ContentDigest Finish()
        {
            var content = MemoryMarshal.AsMemory(_content.WrittenMemory).Span;
            var order = _instants.Select(instant => instant.Ticks).Distinct().Order().ToList();
            foreach (var (at, ticks) in _instants)
            {
                content[at] = (byte)order.IndexOf(ticks);
            }

            return ContentDigest.Of(content);
        }

        private bool Child(object child, Base parent, string name)
        {
            switch (child)
            {
                case Base one:
                    Mark('1');
                    return Node(one, parent, name);
                case IEnumerable<Base> many:
                    Mark('*');
                    foreach (var one in many)
                    {
                        if (one is null)
                        {
                            return Unsuitable();
                        }

                        Mark('1');
                        if (!Node(one, parent, name))
                        {
                            return false;
                        }
                    }

                    Mark(']');
                    return true;
                case string text:
                    Mark('s');
                    Text(text);
                    return true;
                default:
                    return Unsuitable();
            }
        }

        private bool Value(PrimitiveType primitive, Base? parent, string name)
        {
            switch (primitive.JsonValue)
            {
                case null:
                    Mark('0');
                    return true;
                case string text when abstracted && primitive is (FhirDateTime or Instant):
                    return Moment(text);
                case string text:
                    String(text, parent, name);
                    return true;
                case bool truth:
                    Mark(truth ? 'T' : 'F');
                    return true;
                case decimal number:
                    Mark('d');
                    Text(number.ToString(CultureInfo.InvariantCulture));
                    return true;
                case int number:
                    Mark('i');
                    Number(number);
                    return true;
                default:
                    return Unsuitable();
            }
        }

        private bool Moment(string text)
        {
            // Years in which no offset leads out of the calendar.
            if (!DateTimeOffset.TryParseExact(text, InstantForm, CultureInfo.InvariantCulture, DateTimeStyles.None, out var instant)
                || instant.Year is < 1900 or > 2199 || _instants.Count == byte.MaxValue)
            {
                return false;
            }

            Mark('t');
            _instants.Add((_content.WrittenCount, instant.UtcTicks));
            Mark('?');
            return true;
        }

        private void String(string text, Base? parent, string name)
        {
            if (abstracted && text.Length >= UuidLength && HoldsUuid(text, parent, name) && Guid.TryParseExact(text[^UuidLength..], "D", out var uuid) && text.EndsWith(uuid.ToString(), StringComparison.Ordinal))
            {
                var which = _uuids.IndexOf(text[^UuidLength..]);
                if (which < 0)
                {
                    which = _uuids.Count;
                    _uuids.Add(text[^UuidLength..]);
                }

                Mark('u');
                Text(text[..^UuidLength]);
                Number(which);
                return;
            }

            Mark('s');
            Text(text);
        }

        private static bool HoldsUuid(string text, Base? parent, string name) => (parent, name) switch
        {
            (Resource, "id") => text.Length == UuidLength,
            (Identifier identifier, "value") => text.Length == UuidLength && identifier.SystemElement?.JsonValue is ResourceIdentifier,
            (ResourceReference, "reference") => text.StartsWith("urn:uuid:", StringComparison.Ordinal)
                ? text.Length == UuidLength + "urn:uuid:".Length
                : text.IndexOf('/', StringComparison.Ordinal) == text.Length - UuidLength - 1 && text.AsSpan(0, text.Length - UuidLength - 1).IndexOfAnyExcept(Letters) < 0,
            _ => false,
        };

        private bool Unsuitable()
        {
            IsUnsuitable = true;
            return false;
        }

        private void Mark(char mark)
        {
            _content.GetSpan(1)[0] = (byte)mark;
            _content.Advance(1);
        }

        public void Number(int number)
        {
            MemoryMarshal.Write(_content.GetSpan(sizeof(int)), number);
            _content.Advance(sizeof(int));
        }
    }
}
