// What to make next: the state looked up in the table, and what follows from it.

import { doseOfShare, plannedOf, secondsUntil, wetnessOf, withDose } from "./dose.js";
import { actionOf } from "./table.js";
import { walkMinutes } from "./thunder.js";
import { MINUTE_MS } from "./units.js";

const FORMS = ["full", "short"];

/** The slot that a moment lies in; before the first it is the first. */
export function slotAt(sheet, at) {
  const slot = Math.floor((at - Date.parse(sheet.origin)) / (sheet.table.slot_min * MINUTE_MS));
  return Math.max(0, slot);
}

/** An evening as the table is asked: made sets as [set, form], doses, slot, what falls. */
export function whereAt(sheet, evening) {
  return {
    now: evening.now,
    slot: slotAt(sheet, evening.now),
    made: evening.made.map(({ set, form }) => [set, FORMS.indexOf(form)]),
    // What was made before it was skipped is made.
    skipped: [...evening.skipped].filter(
      (set) => !sheet.sets[set].isGone && !evening.made.some((it) => it.set === set),
    ),
    rainClass: evening.rain.class,
    hairDose: evening.hairDose,
    lookDoses: [...evening.lookDoses],
  };
}

/**
 * The action in a state, and how it was found:
 * - "exact": the plan knows the state;
 * - "sooner": the sets were made quicker than it thought possible, so it is asked for the first slot
 *   in which they could have been;
 * - "skipped": something was skipped, which the plan cannot know;
 * - "beyond": the plan does not reach here; `rest` are the sets that are left, best first.
 * Past the last slot the evening is over.
 */
export function lookUp(sheet, table, where) {
  if (where.slot >= sheet.table.slots) return { what: "over", how: "exact", isLight: isLightAt(sheet, where) };
  // Of the sets that an earlier sheet had the table knows nothing; after one of them it cannot go on.
  const isGone = ([set]) => sheet.sets[set].isGone;
  if (where.made.some(isGone)) {
    const made = where.made.filter((it) => !isGone(it));
    if (isGone(where.made.at(-1))) return { what: "beyond", how: "beyond", rest: whatIsLeft(sheet, where) };
    return lookUp(sheet, table, { ...where, made });
  }
  const ask = (made) => {
    const byte = table.action({ ...where, made });
    const first = byte === null ? table.firstSlot(made) : null;
    if (first === null || first <= where.slot) return { byte, how: "exact" };
    return { byte: table.action({ ...where, made, slot: first }), how: "sooner" };
  };
  if (where.skipped.length === 0) {
    const { byte, how } = ask(where.made);
    if (byte !== null) return { ...actionOf(byte), how };
  } else {
    for (const { made, isSure } of withSkipped(sheet, where)) {
      const { byte, how } = ask(made);
      const action = byte === null ? null : actionOf(byte);
      // Asked for another slot, or with what was skipped still to come, waiting and finishing may be
      // for the sake of what is not so; a set that can be made can be made.
      const holds = action?.what === "make" || (isSure && how === "exact");
      if (action && holds && !where.skipped.includes(action.set)) return { ...action, how: "skipped" };
    }
  }
  return { what: "beyond", how: "beyond", rest: whatIsLeft(sheet, where) };
}

/**
 * The courses to ask for when sets were skipped: these counted as made before the last that was, so
 * that look and spot are as they are; what was really made; and, since a look that was on first
 * cannot be the last of a course, the skipped ones after it, the worn look's at the end.
 */
function withSkipped(sheet, { made, skipped }) {
  const worn = made.length > 0 ? sheet.sets[made[made.length - 1][0]].look : null;
  const isWorn = (set) => sheet.sets[set].look === worn;
  const last = [...skipped].sort((a, b) => isWorn(b) - isWorn(a));
  const counted = (form) => skipped.map((set) => [set, form]);
  const before = (form) => [...made.slice(0, -1), ...counted(form), made[made.length - 1]];
  const after = (form) =>
    last.map((set) => [...made, ...counted(form).filter((it) => it[0] !== set), [set, form]]);
  return [
    ...(made.length > 0 ? [0, 1].map((form) => ({ made: before(form), isSure: true })) : []),
    { made, isSure: false },
    ...[0, 1].flatMap(after).map((made) => ({ made, isSure: true })),
  ];
}

/** Whether the light, or the agreed time, goes on after the plan's last slot. */
function isLightAt(sheet, { slot, now = -Infinity }) {
  const begins = Date.parse(sheet.origin) + slot * sheet.table.slot_min * MINUTE_MS;
  return Math.max(now, begins) < Date.parse(sheet.last_light);
}

/** The heaviest rain in which a setting works: burst, clear umbrella, roof. */
const HEAVIEST = { open: 1, umbrella: 2, cover: 3 };

/**
 * The sets that are left: first those that what falls allows and that can end before the light does,
 * by their worth; then the others.
 */
export function whatIsLeft(sheet, where) {
  const made = new Set([...where.made.map(([set]) => set), ...where.skipped]);
  const at = Date.parse(sheet.origin) + where.slot * sheet.table.slot_min * MINUTE_MS;
  const left = (Date.parse(sheet.last_light) - at) / MINUTE_MS;
  const fits = (set) => {
    const least = set.setup_min + (set.minutes.short ?? set.minutes.full);
    return least <= left && (where.rainClass ?? 0) <= (HEAVIEST[set.setting] ?? 1);
  };
  return sheet.sets
    .map((set, place) => ({ place, fits: fits(set), worth: set.worth }))
    .filter(({ place }) => !made.has(place) && !sheet.sets[place].isGone)
    .sort((a, b) => b.fits - a.fits || b.worth - a.worth)
    .map(({ place }) => place);
}

/**
 * Minutes from now until a set begins, and until it ends: change, walk, set-up, set. A walk that nobody
 * has walked is `null`, and left out of the sums.
 */
export function minutesOf(sheet, { worn, spot }, set, form) {
  const it = sheet.sets[set];
  const change = worn === it.look ? 0 : sheet.looks[it.look].change_min;
  const walk = walkMinutes(sheet, spot, it.spot);
  const before = change + (walk ?? 0) + it.setup_min;
  return { change, walk, before, all: before + plannedOf(it, form).minutes };
}

/** The state after a set, if the rain stays as it is. */
function afterMaking(sheet, where, stands, set, form) {
  const { all } = minutesOf(sheet, stands, set, form);
  const rate = sheet.rain.rates_mm_h[where.rainClass] ?? 0;
  return {
    ...where,
    ...withDose(sheet, where, { set }, doseOfShare(sheet, { set, form }, rate, 1)),
    slot: where.slot + Math.ceil(all / sheet.table.slot_min),
    made: [...where.made, [set, FORMS.indexOf(form)]],
  };
}

/** The state at the planned end of the set that runs. */
function afterRunning(sheet, evening, where) {
  const { set, form, workedMs } = evening.running;
  const planned = plannedOf(sheet.sets[set], form).minutes * MINUTE_MS;
  const rest = Math.max(0, planned - workedMs);
  const rate = sheet.rain.rates_mm_h[where.rainClass] ?? 0;
  const share = planned > 0 ? rest / planned : 0;
  const end = (evening.now + rest - Date.parse(sheet.origin)) / (sheet.table.slot_min * MINUTE_MS);
  const made = where.made.some(([it]) => it === set)
    ? where.made
    : [...where.made, [set, FORMS.indexOf(form)]];
  return {
    ...where,
    ...withDose(sheet, where, { set }, doseOfShare(sheet, { set, form }, rate, share)),
    slot: Math.max(0, Math.ceil(end)),
    made,
  };
}

/** What comes after waiting as long as the plan waits in this rain. */
function afterWaiting(sheet, table, where) {
  for (let slot = where.slot + 1; slot <= sheet.table.slots; slot += 1) {
    const then = lookUp(sheet, table, { ...where, slot });
    if (then.what !== "wait") return { ...then, slot };
  }
  return { ...lookUp(sheet, table, { ...where, slot: sheet.table.slots }), slot: sheet.table.slots };
}

/** The turns of the weather that a card tells of, by what falls now. */
const TURNS = [
  [["begins", 2]],
  [["stops", 0], ["heavier", 2]],
  [["stops", 0], ["heavier", 3]],
  [["stops", 0], ["eases", 2]],
];

/**
 * What the cards say: `now` what to do, `then` what comes after it if it stays like this, `turns` what
 * to do instead if it turns. While a set runs, `now` is null, and the others speak of its end. Where
 * nobody has said what falls, there is only `unknownRain`, and `now` where it is the same in any rain.
 */
export function adviceAt(sheet, table, evening) {
  const where = whereAt(sheet, evening);
  const { running } = evening;
  if (where.rainClass === null) {
    const unknownRain = askEachRain(sheet, table, evening, where);
    const first = unknownRain[0];
    const isSame = unknownRain.every((it) => isSameAction(it, first));
    return { now: isSame && !running ? first : null, unknownRain };
  }
  const begin = running ? afterRunning(sheet, evening, where) : where;
  const stands = { worn: evening.worn, spot: evening.spot };
  const first = lookUp(sheet, table, begin);
  const turns = TURNS[where.rainClass].map(([turn, rainClass]) => ({
    turn,
    rainClass,
    ...lookUp(sheet, table, { ...begin, rainClass }),
  }));
  if (running) return { now: null, then: first, turns };
  return { now: first, then: whatFollows(sheet, table, begin, stands, first), turns };
}

/** Whether two answers say the same. */
export function isSameAction(one, other) {
  return ["what", "set", "form"].every((part) => one[part] === other[part]);
}

function whatFollows(sheet, table, where, stands, first) {
  if (first.what === "wait") return afterWaiting(sheet, table, where);
  if (first.what !== "make") return null;
  return lookUp(sheet, table, afterMaking(sheet, where, stands, first.set, first.form));
}

/** Nobody has said what falls: what to do in each class of rain. */
function askEachRain(sheet, table, evening, where) {
  const begin = (rainClass) => {
    const it = { ...where, rainClass };
    return evening.running ? afterRunning(sheet, evening, it) : it;
  };
  return [0, 1, 2, 3].map((rainClass) => ({
    rainClass,
    ...lookUp(sheet, table, begin(rainClass)),
  }));
}

/**
 * How long hair and worn look still bear the open sky at the rate that falls now: seconds until they
 * look damp, or wet once they are damp. `null` seconds: nothing falls, or they are wet.
 */
export function budgetAt(sheet, evening) {
  const rate = sheet.rain.rates_mm_h[evening.rain.class] ?? 0;
  const of = (dose, limits) => {
    const is = wetnessOf(dose, limits);
    const next = { dry: limits.damp_at_g_m2, damp: limits.wet_at_g_m2 }[is];
    const seconds = next === undefined ? null : secondsUntil(rate, next - dose, 1);
    return { is, next: { dry: "damp", damp: "wet" }[is] ?? null, seconds };
  };
  const unknown = { is: "unknown", next: null, seconds: null };
  const { worn } = evening;
  return {
    falls: rate > 0,
    hair: evening.isHairKnown ? of(evening.hairDose, sheet.hair) : unknown,
    look:
      worn === null
        ? null
        : evening.areLooksKnown[worn] && sheet.looks[worn].damp_at_g_m2 !== null
          ? of(evening.lookDoses[worn], sheet.looks[worn])
          : unknown,
  };
}

/** The first cells of a look's grid that are still empty. */
export function emptyCells(sheet, evening, look, most = 5) {
  const filled = evening.grid.get(look) ?? new Set();
  return sheet.grid.core.filter((cell) => !filled.has(cell.id)).slice(0, most);
}
