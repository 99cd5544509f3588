// What must hold on every page, measured in it. Returns lines; none is good.
const lines = [];
const shown = (element) => element.checkVisibility({ visibilityProperty: true });
const named = (element) => {
  const words = (element.innerText || element.value || element.name || "").trim().slice(0, 40);
  const attributes = ["id", "name", "class", "href"]
    .filter((name) => element.hasAttribute(name))
    .map((name) => ` ${name}="${element.getAttribute(name)}"`);
  return `<${element.localName}${attributes.join("")}> "${words}"`;
};

// Nothing reaches beyond the page's width: scrolling sideways loses the line one reads.
const width = document.documentElement.clientWidth;
if (document.documentElement.scrollWidth > width) {
  const scrolls = (element) => element.closest(".scroll") !== null;
  const beyond = [...document.body.querySelectorAll("*")]
    .filter((element) => shown(element) && !scrolls(element))
    .filter((element) => element.getBoundingClientRect().right > width + 0.5);
  const innermost = beyond.filter((element) => !beyond.some((other) => other !== element && element.contains(other)));
  lines.push(`scrolls sideways, ${document.documentElement.scrollWidth} px in ${width} px: ${innermost.slice(0, 3).map(named).join(", ")}`);
}

// A wet thumb needs 44 px. Links within a sentence are as high as its line; a link that is all of a
// list's line, and everything with a border, is a target of its own.
const LEAST_PX = 44;
const stands_alone = (link) => link.parentElement.innerText.trim() === link.innerText.trim();
const targets = new Set(document.querySelectorAll("button, .button, summary, nav a, select, input:not([type=hidden])"));
for (const link of document.querySelectorAll("li > a")) {
  if (stands_alone(link)) targets.add(link);
}
for (const target of targets) {
  if (!shown(target)) continue;
  // A tick is touched on its label as well.
  const label = ["checkbox", "radio"].includes(target.type) ? target.labels[0] : null;
  const [own, other] = [target, label ?? target].map((element) => element.getBoundingClientRect());
  const height = Math.max(own.bottom, other.bottom) - Math.min(own.top, other.top);
  if (own.height > 0 && height < LEAST_PX - 0.5) {
    lines.push(`${height.toFixed(0)} px high instead of ${LEAST_PX}: ${named(target)}`);
  }
}

// No page asks anything of a third party.
for (const entry of performance.getEntriesByType("resource")) {
  if (new URL(entry.name).origin !== location.origin && !entry.name.startsWith("data:")) {
    lines.push(`asks another origin: ${entry.name}`);
  }
}
return lines;
