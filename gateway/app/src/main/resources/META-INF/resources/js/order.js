// In which order alarms stand, and how the list stays still under a pointer. No DOM in here.

const group = { UNACK: 0, LTUNK: 0, RTNUN: 1, ACKED: 2, LTACK: 2 };
const urgency = { critical: 1, major: 2, minor: 3, warning: 4 };

export const digitOf = (priority) => urgency[priority] ?? 4;

/** Unacknowledged first, then by priority, then the newest first. */
export function byNeed(a, b) {
  return (group[a.state] ?? 2) - (group[b.state] ?? 2)
    || digitOf(a.priority) - digitOf(b.priority)
    || Date.parse(b.since) - Date.parse(a.since)
    || (a.alarm < b.alarm ? -1 : 1);
}

/**
 * The ids to show, top to bottom. While held, what is shown stays where it is: newcomers go below, and what
 * went away keeps its place until the hold ends.
 *
 * @param before the newcomers so far of a hold that goes on.
 */
export function arrange(shown, alarms, held, before = new Set()) {
  const wanted = [...alarms].sort(byNeed).map((alarm) => alarm.alarm);
  if (!held) return { ids: wanted, newcomers: new Set(), waiting: false };
  const fresh = wanted.filter((id) => !shown.includes(id));
  const newcomers = new Set([...before, ...fresh]);
  const ids = [...shown, ...fresh];
  return { ids, newcomers, waiting: ids.join('\n') !== wanted.join('\n') };
}
