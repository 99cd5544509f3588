// What stands below the cards, opened when wanted: grid, light, what was seen, notes, the log.

import { clockOf, truthButtons } from "./card.js";
import { emptyCells } from "./advice.js";
import { node, tapButton } from "./draw.js";
import { undoneIds, inOrder } from "./log.js";
import { capital, chanceWords } from "./words.js";

/** The chances of getting wet, with the age of what they rest on. */
export function skyLines({ say, sky, sheet }) {
  if (!sky) return [node("p", {}, say("sky_unknown"))];
  const issued = clockOf({ sheet }, sky.issued);
  // The chances are those of the first set's spot.
  const place = sheet.spots.find(({ id }) => id === sheet.sets[0]?.spot)?.name ?? "";
  const { source } = sheet.nowcast;
  const values = { n: sky.ageMin, at: issued, place, source };
  const age = say(sky.isTooOld ? "sky_too_old" : "sky_age", values);
  const window = ({ minutes, chance }) => {
    const words = chance ? chanceWords(say, chance.low, chance.high) : say("not_known");
    return node("li", {}, say("sky_within", { n: minutes, chance: words }));
  };
  return [
    node("p", {}, age),
    !sky.isTooOld && node("ul", { class: "plain" }, sky.windows.map(window)),
  ];
}

/** After each look: the first empty cells with their prompts. */
export function emptyOfLook({ sheet, say, evening }) {
  const hasBegun = evening.running !== null || evening.made.length > 0;
  if (evening.worn === null || !hasBegun) return null;
  const look = sheet.looks[evening.worn].name;
  if (sheet.grid.core.length === 0) return null;
  const empty = emptyCells(sheet, evening, look);
  if (empty.length === 0) return node("p", {}, say("grid_full", { look: capital(look) }));
  return [
    node("h2", {}, say("grid_empty", { look })),
    node("ul", { class: "cells" }, empty.map((cell) => cellLine({ say, evening }, look, cell, true))),
  ];
}

function cellLine({ say, evening }, look, cell, withPrompt) {
  const isFilled = evening.grid.get(look)?.has(cell.id) ?? false;
  const state = say(isFilled ? "cell_filled" : "cell_empty");
  const prompt = withPrompt && cell.prompts?.[0];
  return node(
    "li",
    {},
    tapButton(
      [
        node("span", {}, cell.title, !withPrompt && node("b", {}, state)),
        prompt ? node("span", { class: "said" }, say("prompt", { prompt })) : "",
      ],
      "cell",
      { look, cell: cell.id, filled: !isFilled },
      { "aria-pressed": String(isFilled) },
    ),
  );
}

/** All cells of every look, the worn one first. */
export function wholeGrid({ sheet, say, evening }) {
  const looks = sheet.looks.map((look) => look.name);
  const worn = evening.worn === null ? null : looks[evening.worn];
  const inTurn = [...looks].sort((a, b) => (b === worn) - (a === worn));
  return inTurn.map((look) => {
    const filled = sheet.grid.core.filter((cell) => evening.grid.get(look)?.has(cell.id)).length;
    return [
      node("h3", {}, say("grid_count", { look: capital(look), n: filled, of: sheet.grid.core.length })),
      node(
        "ul",
        { class: "cells two" },
        sheet.grid.core.map((cell) => cellLine({ say, evening }, look, cell, false)),
      ),
    ];
  });
}

/** Light by five minutes; the line of now is marked by a word and a bar. */
export function lightLines(model) {
  const { sheet, say, evening } = model;
  const times = sheet.light.map((line) => Date.parse(line.at));
  const current = times.findLastIndex((at) => at <= evening.now);
  const isOver = times.length > 1 && evening.now >= 2 * times.at(-1) - times.at(-2);
  return node(
    "ol",
    { class: "light" },
    sheet.light.map((line, place) => {
      // What is past is past; the line before the present one shows which way it goes.
      if (place < current - 1) return null;
      const isNow = place === current && !isOver;
      const at = clockOf(model, times[place]);
      return node(
        "li",
        { "aria-current": isNow && "time" },
        node("b", {}, isNow ? say("light_now", { at }) : at),
        ` ${line.text}`,
      );
    }),
  );
}

/** Every set that is left, to be started or skipped out of turn. */
export function otherSets({ sheet, say, evening }) {
  const made = new Set(evening.made.map((it) => it.set));
  // While thunder keeps everybody in nothing is begun.
  const isFree = !evening.running && evening.finished === null && !evening.thunder?.isOn;
  const sets = node(
    "ul",
    { class: "sets" },
    sheet.sets.map((set, place) => {
      const state = made.has(place)
        ? say("set_made")
        : evening.running?.set === place
          ? say("set_running")
          : evening.skipped.has(place)
            ? say("set_skipped")
            : null;
      if (set.isGone && state === null) return null;
      const free = isFree && !made.has(place) && !set.isGone;
      const data = { set: set.id };
      return node(
        "li",
        {},
        node("p", {}, state ? say("set_with_state", { set: set.title, state }) : set.title),
        free &&
          node(
            "div",
            { class: "row" },
            tapButton(say(set.minutes.short == null ? "start_only" : "start_full"), "start", {
              ...data,
              form: "full",
            }),
            set.minutes.short != null && tapButton(say("start_short"), "start", { ...data, form: "short" }),
            !evening.skipped.has(place) && tapButton(say("skip"), "skip", data),
          ),
      );
    }),
  );
  return [sets, isFree && node("div", { class: "row" }, tapButton(say("finish"), "finish"))];
}

/** What somebody saw, in one tap: hair, dress, where they stand, and what the evening's rain was. */
export function seenButtons({ sheet, say, evening }) {
  const row = (label, buttons) => [
    node("h3", {}, label),
    node("div", { class: "row", role: "group", "aria-label": label }, buttons),
  ];
  const states = ["dry", "damp", "wet"];
  const look = evening.worn === null ? null : sheet.looks[evening.worn].name;
  const set = (evening.running ?? evening.made.at(-1))?.set;
  const text = set === undefined ? null : sheet.sets[set].settings;
  return [
    row(say("seen_hair"), states.map((state) => tapButton(say(state), "hair", { state }))),
    look !== null &&
      row(
        say("seen_cloth", { look: capital(look) }),
        states.map((state) => tapButton(say(state), "cloth", { look, state })),
      ),
    node("h3", {}, say("seen_spot")),
    node(
      "div",
      { class: "column", role: "group", "aria-label": say("seen_spot") },
      sheet.spots.map(({ id, name }) =>
        tapButton(name, "spot", { spot: id }, { "aria-pressed": String(evening.spot === id) }),
      ),
    ),
    text && row(say("seen_settings"), tapButton(text, "settings", { text })),
    row(say("truth_ask"), truthButtons({ say, evening })),
  ];
}

/** What an event was, in a few words. */
export function eventWords({ sheet, say }, event) {
  const title = (id) => sheet.sets.find((set) => set.id === id)?.title ?? id;
  const values = {
    set: title(event.set),
    look: event.look,
    text: event.text,
    spot: sheet.spots.find((spot) => spot.id === event.spot)?.name ?? event.spot,
    cell: sheet.grid.core.find((cell) => cell.id === event.cell)?.title ?? event.cell,
    state: event.state && say(event.state),
    rain: event.kind === "truth" ? say(`truth_${event.rain}`) : say(`rain_${event.class}`),
  };
  const keys = {
    rain: event.by === "picture" ? "event_rain_picture" : "event_rain",
    start: `event_start_${event.form}`,
    cell: event.filled ? "event_cell_filled" : "event_cell_empty",
  };
  const known = ["arrived", "start", "done", "stop", "skip", "rain", "thunder", "hold", "resume",
    "spot", "hair", "cloth", "cell", "settings", "note", "truth", "finish"];
  if (!known.includes(event.kind)) return say("event_other");
  return say(keys[event.kind] ?? `event_${event.kind}`, values);
}

/** The log, newest first, each line to be taken back or put back. */
export function logLines(model) {
  const { say, log, evening } = model;
  const undone = undoneIds(log);
  const future = new Set(evening.future.map((event) => event.id));
  const undos = (id) => log.filter((it) => it.kind === "undo" && it.of === id && !undone.has(it.id));
  const lines = inOrder(log).filter((event) => event.kind !== "undo").reverse();
  if (lines.length === 0) return node("p", {}, say("log_empty"));
  return node(
    "ol",
    { class: "log" },
    lines.map((event) => {
      const isUndone = undone.has(event.id);
      const words = say("log_line", {
        at: clockOf(model, Date.parse(event.at)),
        event: eventWords(model, event),
      });
      return node(
        "li",
        {},
        node(
          "p",
          {},
          isUndone ? node("s", {}, words) : words,
          isUndone && node("b", {}, say("log_undone")),
          future.has(event.id) &&
            node("b", {}, say(event.kind === "thunder" ? "log_future_thunder" : "log_future")),
        ),
        isUndone
          ? tapButton(say("redo"), "undo", { of: undos(event.id)[0]?.id ?? "" })
          : tapButton(say("undo"), "undo", { of: event.id }),
      );
    }),
  );
}

/** Names to call; a number is dialled by tapping it. */
export function contactLines({ sheet, say }) {
  const contacts = sheet.contacts ?? [];
  if (contacts.length === 0) return node("p", {}, say("contacts_none"));
  return node(
    "ul",
    { class: "plain" },
    contacts.map(({ name, phone }) =>
      node(
        "li",
        {},
        phone
          ? node("a", { class: "button", href: `tel:${phone.replace(/[^+\d]/g, "")}` }, say("call", { name, phone }))
          : name,
      ),
    ),
  );
}

/** What to mind, and which rule of thumb rules. */
export function cautionLines({ sheet }) {
  const lines = [...(sheet.cautions ?? []), sheet.rule].filter(Boolean);
  return node("ul", { class: "plain" }, lines.map((line) => node("li", {}, line)));
}

/** What the plan would do if the rain stayed in one class: readable even where the table is not. */
export function outlineLines(model) {
  const { sheet, say } = model;
  return (sheet.outline ?? [])
    .filter((one) => one.steps.length > 0)
    .map((one) => [
      node("h3", {}, say("outline_if", { rain: say(`rain_${one.rain}`) })),
      node(
        "ol",
        { class: "plain" },
        one.steps.map((step) => node("li", {}, `${clockOf(model, Date.parse(step.at))} ${step.text}`)),
      ),
    ]);
}
