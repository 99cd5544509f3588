// Packs the land outline of Natural Earth into coast.bin. How to run it: README.md beside this.

import fs from "node:fs";

const TOLERANCE_KM = 0.5;
const KM_PER_DEG = 111.195; // of latitude, on a sphere of 6371.0088 km
const UNITS_PER_DEG = 1000;
const EDGE_DEG = 1e-6;

const [source, target] = process.argv.slice(2);
const { transform, arcs, bbox } = JSON.parse(fs.readFileSync(source, "utf8"));

/** TopoJSON stores an arc as whole steps from point to point. */
function degrees(arc) {
  let [x, y] = [0, 0];
  return arc.map(([dx, dy]) => {
    [x, y] = [x + dx, y + dy];
    return [x * transform.scale[0] + transform.translate[0],
            y * transform.scale[1] + transform.translate[1]];
  });
}

/** The outline follows the 180th meridian and the map's lower edge where there is no coast. */
function isMapEdge(a, b) {
  const onMeridian = (p) => Math.abs(Math.abs(p[0]) - 180) < EDGE_DEG;
  const onBottom = (p) => p[1] < bbox[1] + EDGE_DEG;
  return (onMeridian(a) && onMeridian(b)) || (onBottom(a) && onBottom(b));
}

function withoutMapEdges(line) {
  const pieces = [];
  let piece = [line[0]];
  for (let i = 1; i < line.length; i++) {
    if (isMapEdge(line[i - 1], line[i])) {
      pieces.push(piece);
      piece = [line[i]];
    } else {
      piece.push(line[i]);
    }
  }
  pieces.push(piece);
  return pieces.filter((p) => p.length > 1);
}

function distanceKm(p, a, b) {
  const shrink = Math.cos((p[1] * Math.PI) / 180);
  const flat = (q) => [(q[0] - p[0]) * shrink * KM_PER_DEG, (q[1] - p[1]) * KM_PER_DEG];
  const [[ax, ay], [bx, by]] = [flat(a), flat(b)];
  const [dx, dy] = [bx - ax, by - ay];
  const length2 = dx * dx + dy * dy;
  const t = length2 > 0 ? Math.min(1, Math.max(0, -(ax * dx + ay * dy) / length2)) : 0;
  return Math.hypot(ax + t * dx, ay + t * dy);
}

/** Douglas and Peucker: no dropped point is farther than the tolerance from what is left. */
function simplified(line) {
  const keep = new Uint8Array(line.length);
  keep[0] = keep[line.length - 1] = 1;
  const stack = [[0, line.length - 1]];
  while (stack.length > 0) {
    const [first, last] = stack.pop();
    let [farthest, index] = [0, -1];
    for (let i = first + 1; i < last; i++) {
      const d = distanceKm(line[i], line[first], line[last]);
      if (d > farthest) [farthest, index] = [d, i];
    }
    if (farthest > TOLERANCE_KM) {
      keep[index] = 1;
      stack.push([first, index], [index, last]);
    }
  }
  return line.filter((_, i) => keep[i]);
}

function varint(value, bytes) {
  let rest = value < 0 ? -2 * value - 1 : 2 * value; // zigzag: 0, -1, 1, -2, 2 ...
  while (rest >= 128) {
    bytes.push((rest % 128) + 128);
    rest = Math.floor(rest / 128);
  }
  bytes.push(rest);
}

const bytes = [];
let [lines, points] = [0, 0];
for (const line of arcs.flatMap((arc) => withoutMapEdges(degrees(arc))).map(simplified)) {
  const grid = line.map((p) => p.map((degree) => Math.round(degree * UNITS_PER_DEG)));
  const closed = String(grid[0]) === String(grid.at(-1));
  if (closed && grid.length < 4) continue; // an islet smaller than the tolerance
  varint(grid.length, bytes);
  let [x, y] = [0, 0];
  for (const [nextX, nextY] of grid) {
    varint(nextX - x, bytes);
    varint(nextY - y, bytes);
    [x, y] = [nextX, nextY];
  }
  lines += 1;
  points += grid.length;
}
fs.writeFileSync(target, Uint8Array.from(bytes));
console.log(`${lines} lines, ${points} points, ${bytes.length} bytes`);
