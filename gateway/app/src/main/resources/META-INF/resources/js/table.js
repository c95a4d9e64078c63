// A table that can be scrolled sideways by keyboard too.

import { element } from './say.js';

/** @param rows each the words of its cells; with `headed` the first of a row is its head. */
export function table(title, heads, rows, headed = false) {
  const wide = element('div', undefined, 'wide');
  wide.tabIndex = 0;
  wide.setAttribute('role', 'region');
  wide.setAttribute('aria-label', title);
  const made = element('table');
  const head = element('tr');
  head.append(...heads.map((name) => Object.assign(element('th', name), { scope: 'col' })));
  const thead = element('thead');
  thead.append(head);
  const body = element('tbody');
  for (const cells of rows) {
    const row = element('tr');
    row.append(...cells.map((cell, column) => (headed && column === 0
      ? Object.assign(element('th', cell), { scope: 'row' })
      : element('td', cell ?? ''))));
    body.append(row);
  }
  made.append(element('caption', title), thead, body);
  wide.append(made);
  return wide;
}
