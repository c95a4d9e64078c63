// The mark of a priority: its own shape, the digit inside, filled or outlined. Never colour alone.

import { digitOf } from './order.js';

const SVG = 'http://www.w3.org/2000/svg';

const shapes = {
  1: ['polygon', { points: '24,3 45,24 24,45 3,24' }],
  2: ['polygon', { points: '24,4 45,43 3,43' }],
  3: ['rect', { x: 6, y: 6, width: 36, height: 36 }],
  4: ['circle', { cx: 24, cy: 24, r: 19 }],
};
const digitAt = { 1: 24, 2: 31, 3: 24, 4: 24 };

function element(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

export function mark(alarm) {
  const digit = digitOf(alarm.priority);
  const returned = alarm.state === 'RTNUN' || alarm.state === 'NORM';
  const svg = element('svg', { viewBox: '-4 -4 56 56', 'aria-hidden': 'true', focusable: 'false' });
  svg.classList.add('priority-mark', `priority-${digit}`, returned ? 'outlined' : 'filled');
  if (!alarm.acknowledged && !returned) svg.classList.add('flashing');
  const [name, attributes] = shapes[digit];
  const ring = element(name, attributes);
  ring.classList.add('ring');
  const shape = element(name, attributes);
  shape.classList.add('shape');
  const text = element('text', { x: 24, y: digitAt[digit], 'text-anchor': 'middle', 'dominant-baseline': 'central' });
  text.textContent = String(digit);
  svg.append(ring, shape, text);
  if (alarm.latched) {
    const latch = element('path', { d: 'M8 51h32M24 51v-5' });
    latch.classList.add('latch');
    svg.append(latch);
  }
  if (alarm.quality === 'bad') {
    const plate = element('rect', { x: 32, y: -3, width: 19, height: 19 });
    plate.classList.add('unread-plate');
    const question = element('text', { x: 41.5, y: 6.5, 'text-anchor': 'middle', 'dominant-baseline': 'central' });
    question.classList.add('unread-glyph');
    question.textContent = '?';
    svg.append(plate, question);
  }
  return svg;
}
