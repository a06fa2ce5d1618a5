using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace EarReferral.Storage.Schema;

/// <summary>Times as integer Unix milliseconds, so that both databases compare and sort them alike.</summary>
internal sealed class UnixMilliseconds() : ValueConverter<DateTimeOffset, long>(
    time => time.ToUnixTimeMilliseconds(),
    number => DateTimeOffset.FromUnixTimeMilliseconds(number));
