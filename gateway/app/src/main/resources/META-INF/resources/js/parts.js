// Markup that several pages share, fetched once and before anything is shown.

async function load() {
  const answer = await fetch('parts.html');
  if (!answer.ok) throw new Error(`parts.html: ${answer.status}`);
  return new DOMParser().parseFromString(await answer.text(), 'text/html');
}

const parts = await load().catch((fault) => {
  const words = document.createElement('p');
  words.className = 'stale';
  words.textContent = 'This page could not be loaded whole, and shows nothing. Load it again; until then look at the hardwired alarms.';
  document.body.prepend(words);
  throw fault;
});

export const fragment = (id) => document.importNode(parts.getElementById(id).content, true);

export const template = (id) => fragment(id).firstElementChild;
