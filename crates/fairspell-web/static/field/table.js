// The strategy, unpacked: what to make in a state of the evening. The layout is that of the crate
// `fairspell-sheet`, module `table`; both readers are tried on the same cases.

/** A table that cannot be read: `kind` is "version", "damaged" or "unsupported". */
export class TableError extends Error {
  constructor(kind) {
    super(`the table of what to make cannot be read: ${kind}`);
    this.kind = kind;
  }
}

/** What stands for "nothing made yet" in a header. */
const NOTHING_YET = 255;
const RAIN_CLASSES = 4;

/** Opens a table. Rejects with a `TableError`; what it resolves to is sound. */
export async function openTable(table) {
  if (table?.version !== 1) throw new TableError("version");
  const bytes = await inflate(table.actions);
  return new OpenTable(table, bytes);
}

async function inflate(base64) {
  if (typeof DecompressionStream === "undefined") throw new TableError("unsupported");
  try {
    const packed = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  } catch {
    throw new TableError("damaged");
  }
}

/** A state's place among the levels of a dose: the nearest, of two equally near the higher. */
export function nearestLevel(levels, dose) {
  let level = 0;
  while (level + 1 < levels.length && (levels[level] + levels[level + 1]) / 2 <= dose) level += 1;
  return level;
}

class OpenTable {
  constructor(table, bytes) {
    this.table = table;
    this.bytes = bytes;
    this.clothLevels = table.looks?.[0]?.levels_g_m2?.length ?? 1;
    this.cloths = this.clothLevels ** (1 + (table.kept_looks?.length ?? 0));
    this.cells = RAIN_CLASSES * (table.hair_levels_g_m2?.length ?? 0) * this.cloths;
    this.headerBytes = 8 + (table.counted?.length ?? 0) + 2;
    this.blocks = new Map();
    if (!this.listsAreSound() || !this.indexBlocks()) throw new TableError("damaged");
  }

  /** Whether every place that the lists name exists. */
  listsAreSound() {
    const { looks, sets, kept_looks, look_at_start, hair_levels_g_m2, counted, blocks, slots } =
      this.table;
    const lists = [looks, sets, kept_looks, hair_levels_g_m2, counted];
    if (!lists.every(Array.isArray)) return false;
    if (![blocks, slots].every((count) => Number.isInteger(count) && count >= 0)) return false;
    const isLook = (look) => Number.isInteger(look) && look >= 0 && look < looks.length;
    return (
      this.clothLevels > 0 &&
      hair_levels_g_m2.length > 0 &&
      sets.length <= 64 &&
      looks.every((look) => look.levels_g_m2?.length === this.clothLevels) &&
      sets.every((set) => isLook(set.look) && Array.isArray(set.pictures)) &&
      kept_looks.every(isLook) &&
      (look_at_start == null || isLook(look_at_start))
    );
  }

  /** Notes where each block's cells begin; false unless all bytes are spoken for. */
  indexBlocks() {
    const { blocks, slots } = this.table;
    let body = blocks * this.headerBytes;
    if (body > this.bytes.length) return false;
    for (let block = 0; block < blocks; block += 1) {
      const header = this.bytes.subarray(block * this.headerBytes, (block + 1) * this.headerBytes);
      const firstSlot = header[header.length - 1];
      if (firstSlot >= slots) return false;
      const key = header.subarray(0, -1).join();
      // Of two blocks with the same head the first counts.
      if (!this.blocks.has(key)) this.blocks.set(key, { firstSlot, body });
      body += (slots - firstSlot) * this.cells;
    }
    return body === this.bytes.length;
  }

  /** The block of what was made: `made` is a list of [set, form], form 0 in full and 1 short. */
  block(made) {
    const { sets, counted } = this.table;
    const bits = new Uint8Array(8);
    const counts = counted.map(() => 0);
    for (const [set, form] of made) {
      const pictures = sets[set]?.pictures[form];
      if (pictures === undefined || bits[set >> 3] & (1 << (set & 7))) return null;
      bits[set >> 3] |= 1 << (set & 7);
      for (const [place, { look, most }] of counted.entries()) {
        if (look === sets[set].look) counts[place] = Math.min(counts[place] + pictures, most);
      }
    }
    const last = made.length > 0 ? made[made.length - 1][0] : NOTHING_YET;
    return this.blocks.get([...bits, ...counts, last].join()) ?? null;
  }

  /** The first slot in which so much can have been made; `null` where it cannot. */
  firstSlot(made) {
    return this.block(made)?.firstSlot ?? null;
  }

  /**
   * The byte of what to do in a state, `null` where the plan does not know it.
   * @param {{slot: number, made: [number, number][], rainClass: number, hairDose: number,
   *   lookDoses: number[]}} state
   */
  action({ slot, made, rainClass, hairDose, lookDoses }) {
    const { looks, sets, kept_looks, look_at_start, hair_levels_g_m2, slots } = this.table;
    const block = this.block(made);
    const isRain = Number.isInteger(rainClass) && rainClass >= 0 && rainClass < RAIN_CLASSES;
    if (!block || !isRain || slot < block.firstSlot || slot >= slots) return null;
    const worn = made.length > 0 ? sets[made[made.length - 1][0]].look : (look_at_start ?? null);
    const wetness = (look) => nearestLevel(looks[look].levels_g_m2, lookDoses[look] ?? 0);
    let cloth = worn === null ? 0 : wetness(worn);
    let weight = this.clothLevels;
    for (const look of kept_looks) {
      if (look !== worn) cloth += weight * wetness(look);
      weight *= this.clothLevels;
    }
    const hair = nearestLevel(hair_levels_g_m2, hairDose);
    const cell = (rainClass * hair_levels_g_m2.length + hair) * this.cloths + cloth;
    let byte = 0;
    for (let at = block.body + cell, s = block.firstSlot; s <= slot; s += 1, at += this.cells) {
      byte ^= this.bytes[at];
    }
    return byte;
  }
}

/** What a byte stands for. */
export function actionOf(byte) {
  if (byte === 0) return { what: "finish" };
  if (byte === 1) return { what: "wait" };
  return { what: "make", set: (byte - 2) >> 1, form: byte % 2 === 0 ? "full" : "short" };
}
