// Calendar days, elapsed hours and ages as the clinic counts them, written without sight of the first engine's clock code.

const formats = new Map();

function wallClock(instant, zone) {
  if (!formats.has(zone)) {
    formats.set(zone, new Intl.DateTimeFormat('en-GB', {
      timeZone: zone, hourCycle: 'h23', year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', second: '2-digit',
    }));
  }
  const parts = Object.fromEntries(formats.get(zone).formatToParts(instant).map(part => [part.type, Number(part.value)]));
  return Date.UTC(parts.year, parts.month - 1, parts.day, parts.hour, parts.minute, parts.second);
}

/** Calendar day of an instant in a zone, as a count of days. */
function dayNumber(instant, zone) {
  return Math.floor(wallClock(instant, zone) / 86_400_000);
}

/** Midnight that begins a calendar day of the zone, as milliseconds since 1970 in UTC. */
function startOfDay(utcMidnight, zone) {
  let instant = utcMidnight;
  for (let round = 0; round < 3; round++) {
    instant += utcMidnight - wallClock(instant, zone);
  }
  return instant;
}

/** First and last instant that a FHIR date or dateTime can mean; null where it is neither. */
export function spanOf(text, zone) {
  if (text.includes('T')) {
    const instant = Date.parse(text);
    return Number.isNaN(instant) ? null : { first: instant, last: instant };
  }
  const match = /^(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?$/.exec(text);
  if (!match) {
    return null;
  }
  const [year, month, day] = [Number(match[1]), match[2] && Number(match[2]), match[3] && Number(match[3])];
  const next = day ? Date.UTC(year, month - 1, day + 1) : month ? Date.UTC(year, month, 1) : Date.UTC(year + 1, 0, 1);
  return { first: startOfDay(Date.UTC(year, (month ?? 1) - 1, day ?? 1), zone), last: startOfDay(next, zone) - 1 };
}

export const units = {
  'days-since': (since, now, zone) => dayNumber(now, zone) - dayNumber(since, zone),
  'hours-since': (since, now) => (now - since) / 3_600_000,
  age: (since, now, zone) => {
    const [born, today] = [new Date(wallClock(since, zone)), new Date(wallClock(now, zone))];
    const had = today.getUTCMonth() > born.getUTCMonth()
      || (today.getUTCMonth() === born.getUTCMonth() && today.getUTCDate() >= born.getUTCDate());
    return today.getUTCFullYear() - born.getUTCFullYear() - (had ? 0 : 1);
  },
};

/** Both readings of an elapsed time, longest first; one where they agree, none for a future or unreadable date. */
export function readings(kind, text, now, zone) {
  const span = spanOf(text, zone);
  if (!span || span.first > now) {
    return [];
  }
  const both = [units[kind](span.first, now, zone), units[kind](Math.min(span.last, now), now, zone)];
  return both[0] === both[1] ? [both[0]] : both;
}
