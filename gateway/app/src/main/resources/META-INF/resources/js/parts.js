// Markup that several pages share, fetched once and before anything is shown.

const answer = await fetch('parts.html');
if (!answer.ok) throw new Error(`parts.html: ${answer.status}`);
const parts = new DOMParser().parseFromString(await answer.text(), 'text/html');

export const template = (id) => document.importNode(parts.getElementById(id).content, true).firstElementChild;
