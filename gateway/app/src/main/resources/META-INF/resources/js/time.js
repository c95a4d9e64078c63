// Times as people read them: local with its offset, or UTC; durations in plain units. No DOM in here.

const two = (n) => String(n).padStart(2, '0');

export function offsetWords(date, utc) {
  if (utc) return 'UTC';
  const minutes = -date.getTimezoneOffset();
  const size = Math.abs(minutes);
  return `UTC${minutes < 0 ? '−' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

function parts(date, utc) {
  return utc
    ? [date.getUTCFullYear(), date.getUTCMonth(), date.getUTCDate(), date.getUTCHours(), date.getUTCMinutes(), date.getUTCSeconds()]
    : [date.getFullYear(), date.getMonth(), date.getDate(), date.getHours(), date.getMinutes(), date.getSeconds()];
}

const dayOf = (date, utc) => parts(date, utc).slice(0, 3).join('-');

/** 03:12:05 when it is the same day as now, else 2026-11-24 03:12:05. */
export function pointInTime(date, now, utc) {
  const [y, mo, d, h, mi, s] = parts(date, utc);
  const clock = `${two(h)}:${two(mi)}:${two(s)}`;
  return dayOf(date, utc) === dayOf(now, utc) ? clock : `${y}-${two(mo + 1)}-${two(d)} ${clock}`;
}

export function dayAndTime(date, utc) {
  const [y, mo, d, h, mi, s] = parts(date, utc);
  return `${y}-${two(mo + 1)}-${two(d)} ${two(h)}:${two(mi)}:${two(s)} ${offsetWords(date, utc)}`;
}

/** 45 s, 12 min, 3 h 20 min, 2 d 4 h; with spaces that do not break. */
export function span(milliseconds) {
  const seconds = Math.max(0, Math.round(milliseconds / 1000));
  if (seconds < 60) return `${seconds}\u00a0s`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${minutes}\u00a0min`;
  const hours = Math.floor(minutes / 60);
  const [large, largeUnit, small, smallUnit] = hours < 24
    ? [hours, 'h', minutes % 60, 'min']
    : [Math.floor(hours / 24), 'd', hours % 24, 'h'];
  return small ? `${large}\u00a0${largeUnit}\u00a0${small}\u00a0${smallUnit}` : `${large}\u00a0${largeUnit}`;
}

/** Milliseconds of an ISO 8601 duration made of days, hours, minutes and seconds; NaN when it is none. */
export function durationOf(iso) {
  const m = /^P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+(?:\.\d+)?)S)?)?$/.exec(iso ?? '');
  if (!m || m.slice(1).every((part) => part === undefined)) return NaN;
  const [d, h, mi, s] = m.slice(1).map((part) => Number(part ?? 0));
  return (((d * 24 + h) * 60 + mi) * 60 + s) * 1000;
}
