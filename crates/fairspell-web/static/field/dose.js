// Water on hair and cloth, in g/m²: a millimetre of rain is a litre on a square metre.

/** What rain of a rate lays down in so many seconds, of which a share (exposure) gets through. */
export function doseOf(rateMmH, seconds, exposure) {
  return (rateMmH / 3.6) * seconds * exposure;
}

/** What a set takes in a form: minutes, and seconds out in its setting. `null` is not known. */
export function plannedOf({ minutes, exposed_s }, form) {
  const planned = minutes[form] ?? minutes.full;
  return { minutes: planned, exposed_s: exposed_s[form] ?? (planned === null ? null : planned * 60) };
}

/** The water of a share (0 to 1) of a set's planned time, over which its seconds out are spread evenly. */
export function doseOfShare(sheet, { set, form }, rateMmH, share) {
  const it = sheet.sets[set];
  return doseOf(rateMmH, plannedOf(it, form).exposed_s * share, sheet.exposure[it.setting] ?? 1);
}

/** Doses with one more, which hair and the set's look take together. */
export function withDose(sheet, { hairDose, lookDoses }, { set }, dose) {
  const { look } = sheet.sets[set];
  return {
    hairDose: hairDose + dose,
    lookDoses: lookDoses.map((had, place) => (place === look ? had + dose : had)),
  };
}

/** Seconds until a dose is taken; `null` where it never is. */
export function secondsUntil(rateMmH, dose, exposure) {
  const rate = (rateMmH / 3.6) * exposure;
  return rate > 0 ? Math.max(0, dose) / rate : null;
}

/** "dry", "damp" or "wet". */
export function wetnessOf(dose, { damp_at_g_m2, wet_at_g_m2 }) {
  if (dose >= wet_at_g_m2) return "wet";
  return dose >= damp_at_g_m2 ? "damp" : "dry";
}

/**
 * A dose put right by somebody who looked. Within what was seen the reckoned dose stays; else it goes
 * to the nearest of the table's levels that looks like it.
 */
export function doseSeen(dose, seen, limits, levels) {
  if (wetnessOf(dose, limits) === seen) return dose;
  const alike = levels.filter((level) => wetnessOf(level, limits) === seen);
  const least = { dry: 0, damp: limits.damp_at_g_m2, wet: limits.wet_at_g_m2 }[seen];
  if (alike.length === 0) return least;
  return dose < alike[0] ? alike[0] : alike[alike.length - 1];
}
