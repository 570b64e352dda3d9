// Times are shown in the farm's time zone, wherever the page is opened.
let formats;
let zone;

export function setFarmTime(timeZone) {
  zone = timeZone;
  const format = (parts) => new Intl.DateTimeFormat("en-US", { timeZone, ...parts });
  formats = {
    day: format({ year: "numeric", month: "short", day: "numeric" }),
    moment: format({ month: "short", day: "numeric", year: "numeric", hour: "numeric", minute: "2-digit" }),
    clock: format({ hour: "numeric", minute: "2-digit", second: "2-digit" }),
  };
}

/** A time with its day, such as "Apr 21, 2026, 2:05 PM". */
export const sayMoment = (iso) => (iso ? formats.moment.format(new Date(iso)) : "never");

/** The clock time, with the day if it is not today. */
export function sayClock(date, now) {
  return formats.day.format(date) === formats.day.format(now)
    ? formats.clock.format(date)
    : `${formats.day.format(date)}, ${formats.clock.format(date)}`;
}

/** The farm's day at a time, such as 2026-04-21. */
export const dayOf = (date) => {
  const { year, month, day } = parts(date);
  return `${year}-${month}-${day}`;
};

/** The time at which a day such as 2026-04-21 begins on the farm. */
export function startOfDay(day) {
  const wanted = Date.parse(`${day}T00:00:00Z`);
  // Corrects by the farm's UTC offset, twice because the offset may change in between.
  let moment = wanted;
  for (let look = 0; look < 2; look++) moment += wanted - shown(new Date(moment));
  return new Date(moment);
}

export const nextDay = (day, days = 1) =>
  new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);

/** A day in words, such as "Apr 21, 2026". */
export const sayDay = (day) => formats.day.format(new Date(startOfDay(day).getTime() + 43_200_000));

function parts(date) {
  const format = new Intl.DateTimeFormat("en-US", {
    timeZone: zone,
    hourCycle: "h23",
    year: "numeric",
    month: "2-digit",
    day: "2-digit",
    hour: "2-digit",
    minute: "2-digit",
    second: "2-digit",
  });
  return Object.fromEntries(format.formatToParts(date).map(({ type, value }) => [type, value]));
}

function shown(date) {
  const { year, month, day, hour, minute, second } = parts(date);
  return Date.UTC(year, month - 1, day, hour, minute, second);
}
