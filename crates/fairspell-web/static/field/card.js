// The large card and the smaller one: what to make next, and what if the sky turns.

import { isSameAction, minutesOf } from "./advice.js";
import { plannedOf } from "./dose.js";
import { node, tapButton } from "./draw.js";
import { thunderWaitMin } from "./thunder.js";
import { MINUTE_MS } from "./units.js";
import { byEnd, capital, spell, wallClock } from "./words.js";

/** What to do, in a few words: a set with its form, or waiting, or an end. */
export function actionWords({ sheet, say }, action) {
  switch (action.what) {
    case "make": {
      const { title, minutes } = sheet.sets[action.set];
      // Where there is one form only, its name tells nothing.
      if (minutes.short == null) return title;
      return say(action.form === "full" ? "set_in_full" : "set_in_short", { set: title });
    }
    case "wait":
      return say("action_wait");
    case "finish":
      return say("action_finish");
    case "over":
      return say(action.isLight ? "action_over_light" : byEnd(sheet, "action_over", "action_over_agreed"));
    default:
      return action.rest.length > 0
        ? say("action_beyond", { set: sheet.sets[action.rest[0]].title })
        : say("action_nothing_left");
  }
}

/** The card in the live region: what doesn't change with every tick of the clock. */
export function mainCard(model) {
  const { evening, advice, say, reading, sheet } = model;
  if (evening.finished !== null) {
    return card(null, say("card_finished"), say("finished_title"), say("finished_line"));
  }
  if (evening.running) {
    const { set, form } = evening.running;
    const key = sheet.sets[set].minutes.short == null ? "only" : form;
    return setCard(model, evening.running, say(`card_running_${key}`));
  }
  if (reading.trouble !== null) {
    return card(null, say("card_no_advice"), say("no_advice_title"), say("no_advice_line"));
  }
  // A moved session, or one that the policy forbids: nothing is advised, taps are kept.
  if (sheet.stop) return card(null, say("card_stop"), say("stop_title"), sheet.stop);
  if (evening.holding !== null) {
    const since = clockOf(model, evening.holding);
    return [
      card(null, say("card_holding"), say("holding_title"), say("holding_line", { at: since })),
      nextWhenOver(model, advice),
    ];
  }
  if (advice.unknownRain && !advice.now) return askCard(model, advice.unknownRain);
  const { now } = advice;
  switch (now.what) {
    case "make":
      return setCard(model, now, say("card_make"));
    case "wait":
      return card("cover", say("card_wait"), say("wait_title"), waitLine(model, advice));
    case "beyond":
      return beyondCard(model, now);
    case "over":
      return now.isLight
        ? card(null, say("card_over"), say("over_title_light"), say("over_line_light"))
        : card(null, say("card_over"), say(byEnd(sheet, "over_title", "over_title_agreed")), say("over_line"));
    default:
      return card(null, say("card_make"), say("finish_title"), say("finish_line"));
  }
}

function card(setting, kicker, title, ...lines) {
  return node(
    "div",
    { class: "card", "data-setting": setting },
    node("p", { class: "kicker" }, kicker),
    node("h2", { class: "what" }, title),
    lines.flat(9).map((line) => (line instanceof Node || !line ? line : node("p", {}, line))),
  );
}

/** A set: what can be read from afar. The rest stands below what hair and dress still bear. */
function setCard(model, { set, form }, kicker) {
  const { sheet, say, evening } = model;
  const it = sheet.sets[set];
  const { minutes } = plannedOf(it, form);
  const formKey = it.minutes.short == null ? "form_only" : `form_${form}`;
  return card(
    it.setting,
    kicker,
    it.heading ?? it.title,
    it.setting && node("p", { class: "setting" }, say(`setting_${it.in_dashes ? "dashes" : it.setting}`)),
    !evening.running && node("p", {}, say(formKey, { minutes })),
    !evening.running && way(model, set),
  );
}

/** How the set on the card is made: bursts, facing, settings, why, and a prompt or two. */
export function setLines(model) {
  const { sheet, say, evening, advice } = model;
  const now = evening.running ?? (evening.holding === null ? advice?.now : null);
  if (evening.finished !== null || now?.set === undefined) return null;
  const it = sheet.sets[now.set];
  const out = plannedOf(it, now.form).exposed_s;
  return [
    evening.made.length === 0 && node("p", {}, say("bank_first")),
    it.in_dashes && node("p", {}, say("bursts", { out: spell(say, out) })),
    it.facing && node("p", {}, it.facing),
    it.settings && node("p", { class: "settings" }, withUnits(it.settings)),
    it.why.length > 0 && node("p", {}, it.why.map((line) => `${capital(line)}.`).join(" ")),
    now.how === "skipped" && node("p", {}, say("how_skipped")),
    !evening.running && advice.unknownRain && node("p", {}, say("in_any_rain")),
    prompts(model),
  ];
}

/** A number stays with its unit, on whichever line. */
function withUnits(settings) {
  return settings.replaceAll(" s,", "\u00a0s,").replaceAll("ISO ", "ISO\u00a0");
}

/** What has to be done before the first picture: a change, a walk, setting up. */
function way({ sheet, say, evening }, set) {
  const { change, walk } = minutesOf(sheet, evening, set, "full");
  const setup = sheet.sets[set].setup_min;
  const look = sheet.looks[sheet.sets[set].look];
  // The dress goes in its bag: whoever changes there keeps it dry on the way.
  const parts = [
    walk > 0 && say(look.marks_for_good && change > 0 ? "before_walk_bag" : "before_walk", { n: walk }),
    walk === null && say("before_walk_unknown"),
    change > 0 && say("before_change", { n: change, look: look.name }),
    setup > 0 && say("before_setup", { n: setup }),
  ].filter(Boolean);
  return [
    parts.length > 0 && node("p", {}, say("before", { parts: parts.join(", ") })),
    node("p", {}, say("start_when")),
  ];
}

/** A prompt or two, others after each set. */
function prompts({ sheet, say, evening }) {
  const { prompts } = sheet;
  if (!prompts?.length) return null;
  const first = (2 * evening.made.length) % prompts.length;
  const two = [prompts[first], prompts[(first + 1) % prompts.length]];
  const unlike = two.filter((prompt, place) => two.indexOf(prompt) === place);
  return node(
    "ul",
    { class: "prompts", "aria-label": say("prompts") },
    unlike.map((prompt) => node("li", {}, say("prompt", { prompt }))),
  );
}

function waitLine(model, { then, unknownRain }) {
  const { sheet, say } = model;
  if (unknownRain) return say("in_any_rain");
  const start = Date.parse(sheet.origin) + then.slot * sheet.table.slot_min * MINUTE_MS;
  const at = clockOf(model, start);
  if (then.what === "over" && then.isLight) return say("wait_to_plans_end");
  if (then.what === "over" || then.what === "finish") {
    return say(byEnd(sheet, "wait_to_no_end", "wait_to_no_end_agreed"));
  }
  return say("wait_until", { at, action: actionWords(model, then) });
}

function beyondCard(model, { rest }) {
  const { sheet, say } = model;
  const left = rest.map((set) => node("li", {}, sheet.sets[set].title));
  return card(
    null,
    say("card_beyond"),
    say("beyond_title"),
    say(rest.length > 0 ? "beyond_line" : "nothing_left_line"),
    left.length > 0 && node("ol", { class: "rest" }, left),
  );
}

function askCard(model, each) {
  const { say, sheet } = model;
  const key = sheet.nowcast ? "ask_line_old" : "ask_line";
  const lines = each.map((action) =>
    node(
      "li",
      {},
      node("b", {}, say(`rain_${action.rainClass}`)),
      say("ask_then", { action: actionWords(model, action) }),
    ),
  );
  return card(null, say("card_ask"), say("ask_title"), say(key), node("ul", { class: "plain" }, lines));
}

function nextWhenOver(model, advice) {
  const now = advice?.now;
  if (!now) return null;
  return node("p", {}, model.say("holding_then", { action: actionWords(model, now) }));
}

/** The smaller card: next, and if it turns. */
export function nextCard(model) {
  const { advice, say, evening } = model;
  if (!advice || advice.unknownRain || evening.finished !== null) return null;
  const line = (label, action) =>
    node("div", { class: "turn" }, node("dt", {}, label), node("dd", {}, action));
  const inForce = advice.now ?? advice.then;
  const same = say(evening.running ? "turn_same_after" : "turn_same");
  const isWait = advice.now?.what === "wait";
  const after = evening.running ? "next_after_running" : "next_if_stays";
  return node(
    "dl",
    { class: "next" },
    advice.then && !isWait && line(say(after), actionWords(model, advice.then)),
    advice.turns.map((turn) =>
      line(say(`turn_${turn.turn}`), isSameAction(turn, inForce) ? same : actionWords(model, turn)),
    ),
  );
}

/** What changes by the minute: how long it runs, and what hair and dress still bear. */
export function nowLines(model) {
  const { sheet, say, evening, budget } = model;
  const { running } = evening;
  const lines = [];
  if (running) {
    const { minutes } = plannedOf(sheet.sets[running.set], running.form);
    const n = Math.floor(running.workedMs / MINUTE_MS);
    const over = n - minutes;
    if (minutes === null) lines.push(say("running_unknown", { n }));
    else lines.push(over > 0 ? say("running_over", { n, minutes, over }) : say("running", { n, minutes }));
  }
  for (const [key, it] of [["hair", budget.hair], ["look", budget.look]]) {
    if (!it) continue;
    const name = key === "hair" ? say("hair") : sheet.looks[evening.worn].name;
    const values = { name: capital(name), left: it.seconds === null ? "" : spell(say, it.seconds) };
    if (it.seconds !== null) lines.push(say(`budget_until_${it.next}`, values));
    else if (it.is !== "dry") lines.push(say(`budget_${it.is}`, values));
  }
  return lines.map((line) => node("p", { class: "budget" }, line));
}

/** Thunder replaces everything: a solid bar that says what to do and until when. */
export function thunderBar(model) {
  const { sheet, say, evening, reading } = model;
  const { last, until, lightLeftMin, refuge } = evening.thunder;
  const known = reading.trouble === null && refuge;
  const go = known
    ? say(refuge.minutes > 0 ? "thunder_go" : "thunder_go_here", {
        refuge: refuge.name,
        n: refuge.minutes,
      })
    : say("thunder_go_unknown");
  return node(
    "div",
    { class: "thunder" },
    node("h2", { class: "what" }, say("thunder_title")),
    node("p", { class: "large" }, go),
    known && elsewhere(model),
    node("p", {}, say("thunder_not_safe")),
    node("p", { class: "large" }, say("thunder_until", { at: clockOf(model, until) })),
    node("p", {}, say("thunder_last", { at: clockOf(model, last), n: thunderWaitMin(sheet) })),
    node("p", {}, say("thunder_again_restarts")),
    reading.trouble === null && node(
      "p",
      { class: "large" },
      lightLeftMin === null
        ? say(byEnd(sheet, "thunder_no_light", "thunder_no_light_agreed"))
        : say(byEnd(sheet, "thunder_light_left", "thunder_light_left_agreed"), {
            n: lightLeftMin,
            at: clockOf(model, Date.parse(sheet.last_light)),
          }),
    ),
  );
}

/** Who is not where the page thinks finds the refuge of every spot. */
function elsewhere({ sheet, say }) {
  const lines = sheet.spots
    .filter(({ refuge }) => refuge)
    .map(({ name, refuge }) => say("thunder_at", { spot: name, refuge: refuge.name, n: refuge.minutes }));
  return node("ul", { class: "plain" }, lines.map((line) => node("li", {}, line)));
}

/** A moment as the clock shows it. */
export function clockOf({ sheet }, ms) {
  return wallClock(ms, sheet.utc_offset_min ?? 0);
}

/** The big buttons at the bottom, always in the same places. */
export function buttonBar(model) {
  const { say, evening, sheet } = model;
  const falls = evening.rain.class;
  const rain = [0, 1, 2, 3].map((rainClass) => {
    const isNow = falls === rainClass;
    const key = rainClass === 0 && falls > 0 ? "rain_stopped" : `rain_button_${rainClass}`;
    const label = rainClass === 3 && falls > 0 && !isNow ? say("rain_heavier") : say(key);
    return tapButton(label, "rain", { rain: rainClass }, { "aria-pressed": String(isNow) });
  });
  // While thunder keeps everybody in, no card says what would be skipped.
  const isShown = !evening.thunder?.isOn && model.advice?.now?.what === "make";
  const toSkip = isShown ? model.advice.now.set : null;
  const hold =
    evening.holding === null
      ? tapButton(say("hold"), "hold")
      : tapButton(say("resume"), "resume", {}, { "aria-pressed": "true" });
  const skip =
    toSkip === null || evening.running
      ? tapButton(say("skip"), "skip", {}, { disabled: true })
      : tapButton(say("skip"), "skip", { set: sheet.sets[toSkip].id });
  return [
    node("div", { class: "row main-row" }, mainButtons(model)),
    node("div", { class: "row rain-row", role: "group", "aria-label": say("rain_now") }, rain),
    node(
      "div",
      { class: "row" },
      tapButton(say("thunder"), "thunder", {}, { class: "thunder-button" }),
      hold,
      skip,
      undoButton(model),
    ),
  ];
}

/** Thunder is not taken back by one stray tap: the first only says what the second will do. */
function undoButton({ say, lastOwn, undoAsked }) {
  if (lastOwn === null) return tapButton(say("undo"), "undo", {}, { disabled: true });
  const of = lastOwn.id;
  if (lastOwn.kind !== "thunder") return tapButton(say("undo"), "undo", { of });
  return undoAsked === of
    ? tapButton(say("undo_thunder"), "undo", { of }, { class: "main" })
    : tapButton(say("undo"), "ask_undo", { of });
}

/** Two taps nearer than this may be one wet finger. */
const SAME_TAP_MS = 600;

/** A tap on the bar: when, on which place of it, and what the button there meant. */
export function barTap(at, button) {
  const row = button.parentElement;
  const rows = row.parentElement;
  const place = `${[...rows.children].indexOf(row)}/${[...row.children].indexOf(button)}`;
  const { do: what, set, of } = button.dataset;
  return { at, place, what, meant: [what, set, of].join() };
}

/**
 * Whether a tap meant the button that stood there before: the bar is painted anew with every tap, and
 * another one may have taken its place. Thunder is always meant.
 */
export function isStray(tap, before) {
  if (before === null || tap.what === "thunder") return false;
  const isReplaced = tap.place === before.place && tap.meant !== before.meant;
  return isReplaced && tap.at - before.at < SAME_TAP_MS;
}

/** What the evening's rain was, in one tap. */
export function truthButtons({ say, evening }) {
  return ["none", "some", "much"].map((rain) => {
    const pressed = String(evening.truth === rain);
    return tapButton(say(`truth_${rain}`), "truth", { truth: rain }, { "aria-pressed": pressed });
  });
}

function mainButtons({ say, evening, sheet, advice }) {
  if (evening.running) {
    return [
      tapButton(say("done"), "done", {}, { class: "main" }),
      tapButton(say("stop"), "stop"),
    ];
  }
  if (evening.finished !== null) return truthButtons({ say, evening });
  if (evening.thunder?.isOn) {
    return [
      tapButton(say("thunder_again"), "thunder", {}, { class: "main" }),
      tapButton(say("finish"), "finish"),
    ];
  }
  const now = advice?.now;
  const set = now?.what === "make" ? now.set : now?.what === "beyond" ? now.rest[0] : undefined;
  if (set !== undefined) {
    const { id, minutes } = sheet.sets[set];
    const form = now.form ?? "full";
    const other = form === "full" ? "short" : "full";
    const start = say(`start_${minutes.short == null ? "only" : form}`);
    // The other form of the very first set can wait below; that they have come cannot.
    const isBefore = evening.arrivedAt === null && evening.made.length === 0;
    const second = isBefore
      ? tapButton(say("arrived"), "arrived")
      : minutes.short != null && tapButton(say(`or_${other}`), "start", { set: id, form: other });
    return [tapButton(start, "start", { set: id, form }, { class: "main" }), second];
  }
  if (evening.arrivedAt === null) return [tapButton(say("arrived"), "arrived", {}, { class: "main" })];
  if (now?.what === "finish" || now?.what === "over") {
    return [tapButton(say("finish"), "finish", {}, { class: "main" })];
  }
  return [];
}
