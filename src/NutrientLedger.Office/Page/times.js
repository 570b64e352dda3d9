// Moments are shown in the farm's own time, wherever the page is opened.
let formats;

export function setFarmTime(timeZone) {
  const format = (parts) => new Intl.DateTimeFormat("en-US", { timeZone, ...parts });
  formats = {
    day: format({ year: "numeric", month: "short", day: "numeric" }),
    moment: format({ month: "short", day: "numeric", year: "numeric", hour: "numeric", minute: "2-digit" }),
    clock: format({ hour: "numeric", minute: "2-digit", second: "2-digit" }),
  };
}

/** A moment with its day, as in "Apr 21, 2026, 2:05 PM". */
export const sayMoment = (iso) => (iso ? formats.moment.format(new Date(iso)) : "never");

/** A moment of today by its clock alone, an older one with its day. */
export function sayClock(date, now) {
  return formats.day.format(date) === formats.day.format(now)
    ? formats.clock.format(date)
    : `${formats.day.format(date)}, ${formats.clock.format(date)}`;
}
