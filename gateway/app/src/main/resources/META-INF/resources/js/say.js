// Small things that every page does with the document. Text goes in as text, never as markup.

export const by = (id) => document.getElementById(id);

export function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

export function element(name, words, className) {
  const made = document.createElement(name);
  if (words !== undefined) made.textContent = words;
  if (className) made.className = className;
  return made;
}

/** Makes the children of a list those of the items, in order; a child whose key stays is kept, with what somebody has typed in it. */
export function keyed(list, items, keyOf, create, update) {
  const old = new Map([...list.children].map((child) => [child.dataset.key, child]));
  items.forEach((item, index) => {
    const key = keyOf(item);
    let child = old.get(key);
    if (child) {
      old.delete(key);
    } else {
      child = create(item);
      child.dataset.key = key;
    }
    update(child, item);
    if (list.children[index] !== child) list.insertBefore(child, list.children[index] ?? null);
  });
  for (const gone of old.values()) gone.remove();
}
