// Updates the page in place. A text node is written only when its text differs, so focus, selection and a screen
// reader's position stay.

export function setText(node, text) {
  if (node.firstChild?.nodeType === Node.TEXT_NODE && !node.firstChild.nextSibling) {
    if (node.firstChild.data !== text) node.firstChild.data = text;
  } else if (node.textContent !== text || node.childNodes.length > 1) node.textContent = text;
}

export function setAttribute(node, name, value) {
  if (value === null) node.removeAttribute(name);
  else if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value);
}

/** Shows a text, or hides the node when there is none. */
export function setOptional(node, text) {
  node.hidden = !text;
  setText(node, text ?? "");
}

/** The named slots of a copied template. */
export const slots = (root) =>
  Object.fromEntries([...root.querySelectorAll("[data-slot]")].map((node) => [node.dataset.slot, node]));

export const copy = (id) => document.getElementById(id).content.cloneNode(true);

/** Keeps one element per item under a parent, in the order of the items. Existing elements are only patched. */
export function keyed(parent, items, keyOf, make, patch) {
  parent.kept ??= new Map();
  const wanted = new Set(items.map(keyOf));
  for (const [key, kept] of parent.kept)
    if (!wanted.has(key)) {
      kept.node.remove();
      parent.kept.delete(key);
    }
  items.forEach((item, place) => {
    const key = keyOf(item);
    if (!parent.kept.has(key)) parent.kept.set(key, make(item));
    const kept = parent.kept.get(key);
    if (parent.children[place] !== kept.node) parent.insertBefore(kept.node, parent.children[place] ?? null);
    patch(kept, item);
  });
}

/** A definition list from pairs of term and text. A null text leaves the pair out. */
export function facts(list, pairs) {
  keyed(
    list,
    pairs.filter(([, text]) => text !== null),
    ([term]) => term,
    ([term]) => {
      const node = document.createElement("div");
      const [dt, dd] = [document.createElement("dt"), document.createElement("dd")];
      dt.textContent = term;
      node.append(dt, dd);
      return { node, dd };
    },
    ({ dd }, [, text]) => setText(dd, text),
  );
}
