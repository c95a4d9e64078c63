// The record of a fault-finding as a page that prints.

import { read } from './ask.js';
import { address } from './finding.js';
import { frame } from './frame.js';
import { by, element, keyed, say } from './say.js';
import { table } from './table.js';

const MOST_READINGS = 60;

const at = (iso) => iso.replace('T', ' ').replace('Z', ' UTC');

const orNone = (words, rows, made) => (rows.length ? [made()] : [element('p', words)]);

function draw(form) {
  document.title = `Record of a fault-finding: ${form.subjectName}`;
  by('of-finding').hidden = false;
  say(by('guided-title'), `Record of a fault-finding: ${form.subjectName}`);
  const first = form.steps[0];
  const facts = [['Fault-finding', form.session], ['Station', form.station.name], ['Owner', form.station.owner], ['Begun', `${at(first.at)}, ${first.by.name}`],
    ['Ended', form.ended ? at(form.ended) : 'not yet'], ['Diagnosis', form.diagnosis], ['Printed', at(form.exportedAt)]].filter(([, words]) => words);
  keyed(by('facts'), facts, ([name]) => name, ([name]) => {
    const pair = element('div');
    pair.append(element('dt', name), element('dd'));
    return pair;
  }, (pair, [, words]) => say(pair.querySelector('dd'), words));
  by('devices').replaceChildren(table('Devices concerned', ['Device', 'Of', 'Product', 'Firmware', 'Serial number'],
    form.devices.map((device) => [`${device.name} (${device.device})`, device.assetName, [device.vendor, device.productCode].filter(Boolean).join(' ') || device.product, device.firmware ?? 'not told', device.serialNumber ?? 'not told'])));
  by('steps').replaceChildren(...form.steps.map((step) => {
    const item = element('li');
    item.value = step.version;
    item.append(element('p', `${at(step.at)}${step.doneAt ? `, done ${at(step.doneAt)}` : ''}, ${step.by.name} (${step.by.door})`, 'help'), element('p', step.text));
    if (step.means) item.append(element('p', step.means, 'means'));
    return item;
  }));
  by('measurements').replaceChildren(...orNone('None.', form.measurements, () => table('Measured values', ['Step', 'What', 'Written', 'Value', 'Accepted', 'Verdict', 'Who, when'],
    form.measurements.map((one) => [String(one.version), one.asked ?? one.check, one.written, one.value === undefined ? '' : `${one.value} ${one.unit}`, one.accepted, one.verdict, `${one.who}, ${at(one.doneAt ?? one.at)}`]))));
  by('said').replaceChildren(...form.steps.filter((step) => step.devices).flatMap((step) => [
    element('h4', `Step ${step.version}, ${step.kind.replaceAll('-', ' ')}, ${at(step.at)}`),
    ...step.devices.filter((device) => device.words.length || device.answers.length || device.readings.length).flatMap((device) => [
      element('p', `${device.device}: ${device.silent ? 'silent. ' : ''}${device.holding.length ? `holds ${device.holding.join(', ')}.` : 'no indication holds.'}`),
      ...(device.words.length ? [table(`Status words of ${device.device}`, ['Word', 'Raw, hexadecimal', 'At'], device.words.map((word) => [word.word, word.bits, at(word.at)]))] : []),
      ...(device.answers.length ? [table(`Answers of ${device.device} as they came`, ['Request', 'Raw', 'At'], device.answers.map((answer) => [answer.block, answer.raw, at(answer.at)]))] : []),
      ...(device.readings.length ? [table(`Readings of ${device.device}`, ['Reading', 'Value', 'Quality'], device.readings.slice(0, MOST_READINGS).map((reading) => [reading.point, reading.text ?? (reading.value === undefined ? '' : String(reading.value)), reading.quality === 'good' ? 'good' : `${reading.quality}, ${reading.reason.replaceAll('-', ' ')}`]))] : []),
    ]),
  ]));
  by('interruptions').replaceChildren(...orNone('None was seen.', form.supplyInterruptions, () => table('Interruptions', ['Device', 'From', 'To', 'What'],
    form.supplyInterruptions.map((one) => [one.device ?? 'gateway', at(one.from), one.to ? at(one.to) : 'still', one.text]))));
  by('timeline').replaceChildren(...orNone('Nothing.', form.timeline, () => table('Timeline', ['At', 'What', 'About', 'In words'],
    form.timeline.map((event) => [at(event.at), event.kind.replaceAll('-', ' '), event.alarm ?? event.subject ?? event.asset ?? '', event.explanation?.headline ?? event.text ?? '']))));
  say(by('seal'), form.chain.seal);
  by('json').href = `${address}/record`;
}

async function refresh() {
  const answer = await read(`${address}/record`);
  by('problem').hidden = !answer.problem;
  if (answer.problem) say(by('problem'), `The record cannot be shown: ${answer.problem}.`);
  else draw(answer.form);
}

by('print').addEventListener('click', () => window.print());
frame.follow(refresh, Infinity);
