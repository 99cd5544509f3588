// The page: its parts once, and what stands in them as often as something changed.

import { buttonBar, clockOf, mainCard, nextCard, nowLines, setLines, thunderBar } from "./card.js";
import { node, paint, tapButton } from "./draw.js";
import { cautionLines, contactLines, emptyOfLook, eventWords, lightLines, logLines, otherSets, outlineLines, seenButtons, skyLines, wholeGrid } from "./more.js";
import { MINUTE_MS } from "./units.js";
import { byEnd, wallClock } from "./words.js";

/** Makes the page's parts; they stay, and only what is in them is painted anew. */
export function buildPage(root, say) {
  const part = (name, attributes = {}, tag = "section") =>
    node(tag, { id: `field-${name}`, ...attributes });
  const fold = (name, label, ...content) => {
    const body = node("div", { id: `field-${name}` }, content);
    return node("details", { "data-fold": name }, node("summary", {}, say(label)), body);
  };
  const field = (name, label, tag = "input") =>
    node(
      "form",
      { "data-keep": name },
      node("label", { for: `field-text-${name}` }, say(label)),
      node(tag, { id: `field-text-${name}`, name: "text", autocomplete: "off", rows: tag === "textarea" && 3 }),
      node("button", {}, say("keep")),
    );
  const parts = {
    alerts: part("alerts", { role: "status" }, "div"),
    head: part("head", {}, "header"),
    card: part("card", { "aria-live": "polite" }),
    lines: part("lines"),
    how: part("how"),
    next: part("next"),
    sky: part("sky", { "aria-label": say("sky") }),
    empty: part("empty"),
    bar: part("bar", { "aria-label": say("buttons") }, "nav"),
    state: part("state", {}, "footer"),
  };
  const folds = [
    fold("others", "fold_others"),
    fold("seen", "fold_seen"),
    fold("grid", "fold_grid"),
    fold("light", "fold_light"),
    fold("notes", "fold_notes", field("settings", "settings_label"), field("note", "note_label", "textarea")),
    fold("contacts", "fold_contacts"),
    fold("cautions", "fold_cautions"),
    fold("outline", "fold_outline"),
    fold("log", "fold_log"),
    fold(
      "send",
      "fold_send",
      node("p", {}, say("send_line")),
      node("textarea", { id: "field-log-text", rows: 6, readonly: true, "aria-label": say("fold_send") }),
      node("div", { class: "row" }, tapButton(say("copy"), "copy"), tapButton(say("share"), "share")),
      node("p", { id: "field-sent", role: "status" }),
    ),
  ];
  root.replaceChildren(
    parts.alerts,
    parts.head,
    parts.card,
    parts.lines,
    parts.how,
    parts.next,
    parts.empty,
    parts.sky,
    ...folds,
    parts.state,
    parts.bar,
  );
  for (const { dataset, lastChild } of folds) parts[dataset.fold] = lastChild;
  return parts;
}

/** Paints what the model says. */
export function paintPage(parts, model) {
  const { evening, sheet, reading } = model;
  const isThunder = evening.thunder?.isOn ?? false;
  document.body.toggleAttribute("data-thunder", isThunder);
  const knows = reading.trouble === null && !sheet.stop;
  // The buttons first: whatever else goes wrong, taps are kept.
  paint(parts.bar, lastTapLine(model), buttonBar(model));
  paint(parts.alerts, alertLines(model));
  paint(parts.head, headLines(model));
  paint(parts.card, isThunder ? thunderBar(model) : mainCard(model));
  paint(parts.lines, isThunder || !knows ? [] : nowLines(model));
  paint(parts.how, isThunder || !knows ? [] : setLines(model));
  paint(parts.next, isThunder || !knows ? [] : nextCard(model));
  paint(parts.empty, isThunder ? [] : emptyOfLook(model));
  paint(parts.sky, isThunder || !knows ? [] : skyLines(model));
  paint(parts.others, otherSets(model));
  paint(parts.seen, seenButtons(model));
  paint(parts.grid, wholeGrid(model));
  paint(parts.light, knows ? lightLines(model) : []);
  paint(parts.contacts, contactLines(model));
  paint(parts.cautions, cautionLines(model));
  paint(parts.outline, knows ? outlineLines(model) : []);
  paint(parts.log, logLines(model));
  paint(parts.state, stateLines(model));
  const text = document.getElementById("field-log-text");
  if (text.value !== model.logText) text.value = model.logText;
  document.title = sheet.title ?? document.title;
}

function headLines({ sheet, say, now, reading }) {
  const offset = sheet.utc_offset_min ?? 0;
  const left = Math.floor((Date.parse(sheet.last_light) - now) / MINUTE_MS);
  const values = { now: wallClock(now, offset), at: wallClock(Date.parse(sheet.last_light), offset), n: left };
  return [
    node("h1", {}, sheet.title),
    node(
      "p",
      {},
      node("b", {}, values.now),
      reading.trouble === null && say(
          left >= 0
            ? byEnd(sheet, "head_time", "head_time_agreed")
            : byEnd(sheet, "head_time_over", "head_time_over_agreed"),
          values,
        ),
    ),
  ];
}

/** What she has to know at once, before anything else. */
function alertLines({ sheet, say, reading, phone, evening }) {
  const lines = [
    !phone.keeps && say("alert_not_kept"),
    reading.trouble && say(`alert_${reading.trouble}`),
    phone.isKeptOne && say("alert_kept_one", { at: wallClock(Date.parse(sheet.made_at), sheet.utc_offset_min ?? 0) }),
    phone.signIn && node("a", { href: phone.page, class: "button" }, say("alert_sign_in")),
    phone.isNotTaken && say("alert_not_taken"),
    phone.isGone && say("alert_gone"),
    phone.skewMin !== 0 &&
      say(phone.skewMin > 0 ? "alert_clock_behind" : "alert_clock_ahead", { n: Math.abs(phone.skewMin) }),
    evening.future.length > 0 && say("alert_future", { n: evening.future.length }),
    phone.refused.length > 0 && say("alert_refused", { n: phone.refused.length, why: phone.refused[0].why }),
    ...(sheet.warnings ?? []),
  ].filter(Boolean);
  return lines.map((line) => node("p", { class: "alert" }, line));
}

/** Whether it is kept and handed in, how old the sheet is, and whether the screen stays on. */
function stateLines(model) {
  const { say, phone, sheet, evening } = model;
  const at = (ms) => clockOf(model, ms);
  const handed = !phone.online
    ? say("handed_never")
    : phone.waiting > 0
      ? say(phone.waiting === 1 ? "handed_one_waits" : "handed_wait", { n: phone.waiting })
      : phone.handedAt !== null
        ? say("handed_all", { at: at(phone.handedAt) })
        : say("handed_nothing");
  return [
    handed,
    phone.online && phone.isOffline && say("no_signal"),
    say(phone.keeps ? "kept_here" : "not_kept_here"),
    phone.online && say(phone.opensOffline ? "opens_offline" : "stays_open_only"),
    // In the demo by the clock of its evening, like every other time here.
    model.reading.trouble === null && say("sheet_made", { at: at(Date.parse(sheet.made_at) + phone.shiftMs) }),
    phone.shiftMs !== 0 && say("demo_clock"),
    say(phone.staysAwake ? "screen_on" : "screen_off"),
    sheet.invented && say("invented"),
    evening.thunder && !evening.thunder.isOn && say("thunder_was", { at: at(evening.thunder.last) }),
    phone.online && node("a", { class: "button", href: phone.page.replace(/\/field$/, "") }, say("to_session")),
  ]
    .filter(Boolean)
    .map((line) => node("p", {}, line));
}

/** The last tap, so that a wet finger sees what it did. */
function lastTapLine(model) {
  const { say, lastOwn, evening } = model;
  const falls = evening.rain.class;
  const rain =
    falls === null
      ? say("rain_now_unknown")
      : say(evening.rain.by === "tap" ? "rain_now_since" : "rain_now_picture", {
          rain: say(`rain_${falls}`),
          at: clockOf(model, evening.rain.since),
        });
  // What falls is said already.
  const last = lastOwn && lastOwn.kind !== "rain" && say("last_tap", {
    event: eventWords(model, lastOwn),
    at: clockOf(model, Date.parse(lastOwn.at)),
  });
  // The tap stands first: the line is cut where it is too long.
  return node("p", { class: "last" }, last && node("span", {}, `${last} `), rain);
}
