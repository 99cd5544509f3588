// Elements made and put in place without disturbing whoever is tapping.

/** An element: `node("p", { class: "large" }, "text", other)`. What is null or false is left out. */
export function node(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false && value != null) element.setAttribute(name, value);
  }
  for (const child of children.flat(9)) if (child) element.append(child);
  return element;
}

/** A button that does something: `what` names it, `data` goes with it. */
export function tapButton(label, what, data = {}, attributes = {}) {
  const button = node("button", { type: "button", "data-do": what, ...attributes }, label);
  for (const [name, value] of Object.entries(data)) button.dataset[name] = value;
  return button;
}

/**
 * Puts children in a place, only when they differ from those that stand there: a reader's finger, a
 * screen reader and the scroll are left alone by what is the same.
 */
export function paint(place, ...children) {
  const fresh = document.createElement(place.tagName);
  for (const child of children.flat(9)) if (child) fresh.append(child);
  if (fresh.innerHTML === place.innerHTML) return;
  const focused = place.contains(document.activeElement) ? document.activeElement : null;
  const same = focused && selectorOf(focused);
  place.replaceChildren(...fresh.childNodes);
  if (same) place.querySelector(same)?.focus({ preventScroll: true });
}

function selectorOf(element) {
  const data = Object.entries(element.dataset);
  if (data.length === 0) return null;
  const dashed = (name) => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
  return data.map(([name, value]) => `[data-${dashed(name)}="${CSS.escape(value)}"]`).join("");
}
