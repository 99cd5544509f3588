// SHA-256 of a text, to see whether a sheet is what the studio wrote.

/** By the browser where it lets us, else by ourselves: a page from a plain address has no `subtle`. */
export async function digestOf(text) {
  const bytes = new TextEncoder().encode(text);
  const subtle = globalThis.crypto?.subtle;
  return hex(subtle ? new Uint8Array(await subtle.digest("SHA-256", bytes)) : sha256(bytes));
}

function hex(bytes) {
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** FIPS 180-4. The constants are the first 32 bits of roots of primes, as it defines them. */
export function sha256(bytes) {
  const primes = [];
  for (let n = 2; primes.length < 64; n += 1) if (primes.every((p) => n % p !== 0)) primes.push(n);
  const fraction = (root) => ((root - Math.floor(root)) * 2 ** 32) | 0;
  const k = primes.map((p) => fraction(Math.cbrt(p)));
  const sum = primes.slice(0, 8).map((p) => fraction(Math.sqrt(p)));

  const padded = new Uint8Array((((bytes.length + 8) >> 6) + 1) << 6);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const words = new DataView(padded.buffer);
  words.setUint32(padded.length - 8, Math.floor(bytes.length / 2 ** 29));
  words.setUint32(padded.length - 4, bytes.length << 3);

  const turn = (x, n) => (x >>> n) | (x << (32 - n));
  const w = new Int32Array(64);
  for (let at = 0; at < padded.length; at += 64) {
    for (let t = 0; t < 16; t += 1) w[t] = words.getInt32(at + 4 * t);
    for (let t = 16; t < 64; t += 1) {
      const s0 = turn(w[t - 15], 7) ^ turn(w[t - 15], 18) ^ (w[t - 15] >>> 3);
      const s1 = turn(w[t - 2], 17) ^ turn(w[t - 2], 19) ^ (w[t - 2] >>> 10);
      w[t] = (w[t - 16] + s0 + w[t - 7] + s1) | 0;
    }
    let [a, b, c, d, e, f, g, h] = sum;
    for (let t = 0; t < 64; t += 1) {
      const choice = (e & f) ^ (~e & g);
      const t1 = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + choice + k[t] + w[t]) | 0;
      const most = (a & b) ^ (a & c) ^ (b & c);
      const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + most) | 0;
      // Written out: taken apart and put together as a list it takes far longer.
      h = g;
      g = f;
      f = e;
      e = (d + t1) | 0;
      d = c;
      c = b;
      b = a;
      a = (t1 + t2) | 0;
    }
    for (const [place, value] of [a, b, c, d, e, f, g, h].entries()) {
      sum[place] = (sum[place] + value) | 0;
    }
  }
  const out = new DataView(new ArrayBuffer(32));
  for (const [place, value] of sum.entries()) out.setInt32(4 * place, value);
  return new Uint8Array(out.buffer);
}
