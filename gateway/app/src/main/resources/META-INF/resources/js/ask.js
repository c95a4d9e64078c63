// What a person asks the gateway to do; the outcome in words. The record has who is signed in.

const path = (id) => id.split('/').map(encodeURIComponent).join('/');

async function ask(address, body, done, failed) {
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(20_000),
    });
    if (answer.ok) return { done: true, words: done, form: answer.status === 204 ? null : await answer.json().catch(() => null) };
    const problem = await answer.json().catch(() => ({}));
    return { done: false, words: `${failed}: ${problem.detail ?? `the gateway answered ${answer.status}`}` };
  } catch (unreachable) {
    return { done: false, words: `${failed}: the gateway did not answer. Look before you try again.` };
  }
}

export const acknowledge = (alarm, eventId, by) =>
  ask(`api/v1/alarms/${path(alarm)}/acknowledge`, { eventId }, `Acknowledged by ${by}`, 'Not acknowledged');

export const confirm = (alarm, eventId, by) =>
  ask(`api/v1/alarms/${path(alarm)}/confirm`, { eventId }, `Confirmed by ${by}`, 'Not confirmed');

export const comment = (alarm, words, by) =>
  ask(`api/v1/alarms/${path(alarm)}/comment`, { comment: words }, `Comment of ${by} recorded`, 'Not recorded');

export const beginMaintenance = (of, reason, permit, duration) =>
  ask(`api/v1/standing/maintenance/${path(of)}/begin`, { reason, permit, duration }, 'In maintenance now', 'Not in maintenance');

export const endMaintenance = (of, words) =>
  ask(`api/v1/standing/maintenance/${path(of)}/end`, { comment: words }, 'Maintenance ended', 'Maintenance goes on');

export const beginTest = (kind, point, forcedTo, duration) =>
  ask(`api/v1/standing/test/${kind}/${path(point)}`, { forcedTo, duration }, `Forced to ${forcedTo}`, 'Not forced');

export const endTest = (kind, point) =>
  ask(`api/v1/standing/test/${kind}/${path(point)}/end`, {}, 'Test ended', 'The test goes on');

export const releaseKeepAway = (asset, words, by) =>
  ask(`api/v1/keep-away/${path(asset)}/release`, { comment: words }, `Released by ${by}`, 'Not released');

export const beginFaultFinding = (diagnosis, key) =>
  ask('api/v1/fault-findings', { key, diagnosis }, 'Begun', 'Not begun');

/** Waits as long as the gateway waits for the other side. */
export const testLink = (link) =>
  ask(`api/v1/links/${path(link)}/test`, { within: 'PT15S' }, 'Sent', 'No test message was sent');

/** A form that is read, or why it could not be. */
export async function read(address) {
  try {
    const answer = await fetch(address, { cache: 'no-store', signal: AbortSignal.timeout(10_000) });
    const form = await answer.json();
    if (answer.status === 401) return { problem: 'nobody is signed in here any more' };
    return answer.ok ? { form } : { problem: form.detail ?? `the gateway answered ${answer.status}`, gone: answer.status === 404 };
  } catch (unreachable) {
    return { problem: 'the gateway did not answer' };
  }
}
