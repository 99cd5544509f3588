// The whole page on a document that is just enough of one: what stands on it, and taps.

import { Keep } from "../../static/field/keep.js";
import { digestOf } from "../../static/field/digest.js";
import { FakeStorage, words } from "./sample.mjs";

export const SESSION = "2026-09-03-linh";

/** An element with what the page uses of one. */
class FakeElement {
  constructor(tagName) {
    Object.assign(this, { tagName, attributes: {}, childNodes: [], parentElement: null, own: "" });
    this.dataset = new Proxy(this, {
      get: (it, name) => it.attributes[dashed(name)],
      set: (it, name, value) => ((it.attributes[dashed(name)] = String(value)), true),
      ownKeys: (it) => Object.keys(it.attributes).filter((name) => name.startsWith("data-")).map(camel),
      getOwnPropertyDescriptor: () => ({ enumerable: true, configurable: true }),
    });
  }
  setAttribute(name, value) {
    this.attributes[name] = String(value);
  }
  toggleAttribute(name, is) {
    if (is) this.attributes[name] = "";
    else delete this.attributes[name];
  }
  append(...added) {
    for (const it of added) {
      const child = it instanceof FakeElement ? it : Object.assign(new FakeElement("#text"), { own: String(it) });
      child.parentElement = this;
      this.childNodes.push(child);
    }
  }
  replaceChildren(...fresh) {
    this.childNodes = [];
    this.append(...fresh);
  }
  get children() {
    return this.childNodes.filter((it) => it.tagName !== "#text");
  }
  get lastChild() {
    return this.childNodes.at(-1);
  }
  get disabled() {
    return "disabled" in this.attributes;
  }
  get textContent() {
    return this.own + this.childNodes.map((it) => it.textContent).join(" ");
  }
  set textContent(text) {
    this.replaceChildren(text);
  }
  get innerHTML() {
    const inside = (it) => `<${it.tagName} ${JSON.stringify(it.attributes)}>${it.own}${it.innerHTML}`;
    return this.childNodes.map(inside).join("");
  }
  closest(selector) {
    const is = selector === "nav" ? this.tagName === "nav" : "data-do" in this.attributes;
    return is ? this : (this.parentElement?.closest(selector) ?? null);
  }
  contains() {
    return false;
  }
  all() {
    return [this, ...this.childNodes.flatMap((it) => it.all())];
  }
}

const dashed = (name) => `data-${name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
const camel = (name) => name.slice(5).replace(/-(\w)/g, (_, letter) => letter.toUpperCase());

let pages = 0;

/**
 * Opens the page: `sheet` as the studio wrote it or a text of any kind, at `now` by the phone's clock,
 * with what it finds in `storage` and a `fetch` that stands for the studio.
 */
export async function openPage({ sheet, text = JSON.stringify(sheet), digest, now, storage = new FakeStorage(), online = null, fetch }) {
  const listeners = { click: [], submit: [] };
  const root = Object.assign(new FakeElement("main"), {});
  root.setAttribute("data-session", SESSION);
  root.setAttribute("data-title", "Linh");
  const fixed = {
    field: root,
    "field-sheet": { textContent: text },
    "field-words": { textContent: JSON.stringify(words) },
  };
  const metas = { "field-digest": digest ?? (await digestOf(text)), "field-online": online && JSON.stringify(online) };
  const clock = { now };
  const fakes = {
    document: {
      hidden: false,
      body: new FakeElement("body"),
      getElementById: (id) => fixed[id] ?? root.all().find((it) => it.attributes.id === id) ?? null,
      querySelector: (selector) => {
        const content = metas[selector.match(/name="(.*)"/)[1]];
        return content ? { content } : null;
      },
      createElement: (tag) => new FakeElement(tag),
      addEventListener: (kind, listener) => (listeners[kind] ??= []).push(listener),
    },
    Node: FakeElement,
    localStorage: storage,
    location: { pathname: `/sessions/${SESSION}/field` },
    addEventListener: () => {},
    navigator: {},
    setInterval: (action) => (timers.push(action), 0),
    fetch: fetch ?? (() => Promise.reject(new TypeError("no network"))),
  };
  const timers = [];
  for (const [name, value] of Object.entries(fakes)) {
    Object.defineProperty(globalThis, name, { value, configurable: true, writable: true });
  }
  Date.now = () => clock.now;
  await import(`../../static/field/start.js?page=${(pages += 1)}`);
  for (let turn = 0; turn < 500 && listeners.click.length === 0; turn += 1) await settle();
  await settle();
  let stamp = 0;
  const page = {
    root,
    clock,
    storage,
    part: (id) => root.all().find((it) => it.attributes.id === `field-${id}`).textContent,
    buttons: (id = "bar") =>
      root.all().find((it) => it.attributes.id === `field-${id}`).all().filter((it) => it.tagName === "button"),
    /** Taps a button, long after the last tap or `after` so many ms. */
    tap: (button, after = 5000) => {
      stamp += after;
      const event = { target: button, timeStamp: stamp };
      for (const listener of listeners.click) listener(event);
    },
    button: (what, data = {}, id = "bar") =>
      page.buttons(id).find(
        (it) => it.dataset.do === what && Object.entries(data).every(([name, value]) => it.dataset[name] === String(value)),
      ),
    tick: () => timers[0](),
    log: () => new Keep(() => storage, SESSION).all().sort((a, b) => a.n - b.n),
    isListening: () => listeners.click.length > 0,
  };
  return page;
}

const settle = () => new Promise((resolve) => setTimeout(resolve, 2));
export { settle };
