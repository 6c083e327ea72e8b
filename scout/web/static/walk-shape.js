// Numbers of a walk: the loop of walls closed, what stands where in it. Nothing here knows the page.

// A traverse closed. Source: Ghilani and Wolf, Elementary Surveying, chapter 10: by the compass (Bowditch) rule each leg
// takes its share of the misclosure by its length; by the transit rule by its own latitude and departure, which keeps
// right angles right and is therefore taken where every turn is one.
// legs: [{ length, turn }], turn in degrees to the right at the end of the leg. The first leg runs along x.
export function traverse(legs, startDeg = 0) {
  let heading = startDeg;
  const steps = legs.map(({ length: run, turn }) => {
    const way = (heading * Math.PI) / 180;
    heading -= turn;
    return [run * Math.cos(way), run * Math.sin(way)].map((part) => (Math.abs(part) < 1e-12 ? 0 : part));
  });
  return closed(steps, legs.every(({ turn }) => Math.abs(turn) === 90));
}

export function closed(steps, square = false) {
  const sum = (values) => values.reduce((before, value) => before + value, 0);
  const off = [0, 1].map((axis) => sum(steps.map((step) => step[axis])));
  const runs = steps.map((step) => Math.hypot(...step));
  const shares = [0, 1].map((axis) => (square ? steps.map((step) => Math.abs(step[axis])) : runs));
  const wholes = shares.map(sum);
  const mended = steps.map((step, at) => step.map((part, axis) => part - (wholes[axis] ? (off[axis] * shares[axis][at]) / wholes[axis] : 0)));
  const corners = [[0, 0]];
  for (const [x, y] of mended.slice(0, -1)) corners.push([corners.at(-1)[0] + x, corners.at(-1)[1] + y]);
  return { corners, mended, off_m: Math.hypot(...off), length_m: sum(runs) };
}

export const area = (corners) => corners.reduce((sum, [x, y], at) => {
  const [u, v] = corners[(at + 1) % corners.length];
  return sum + (x * v - u * y) / 2;
}, 0);

// Clockwise seen from above, its lower left corner at 0, 0; the first wall stays the first one walked.
export function laid(corners) {
  let round = corners;
  if (area(round) > 0) round = [...round.slice(0, 2).reverse(), ...round.slice(2).reverse()]; // the wall was on the left hand
  const least = [0, 1].map((axis) => Math.min(...round.map((corner) => corner[axis])));
  return round.map((corner) => corner.map((part, axis) => Number((part - least[axis]).toFixed(4)) + 0));
}

// Of a piece of furniture its width lies along x and its depth along y, then it is turned clockwise. From a spot to its
// footprint; 0 within it.
export function gap([x, y], { at, size: [width = 0, depth = 0], turn = 0 }) {
  const [along, up, way] = [x - at[0], y - at[1], (turn * Math.PI) / 180];
  const [u, v] = [along * Math.cos(way) - up * Math.sin(way), along * Math.sin(way) + up * Math.cos(way)];
  return Math.hypot(Math.max(0, Math.abs(u) - width / 2), Math.max(0, Math.abs(v) - depth / 2));
}

// The spot nearest to the one wanted where a piece is whole inside the room's outline, as far as a box round it tells.
export function within(wanted, { size: [width = 0, depth = 0], turn = 0 }, corners) {
  const [c, s] = [Math.cos, Math.sin].map((of) => Math.abs(of((turn * Math.PI) / 180)));
  return [width * c + depth * s, width * s + depth * c].map((side, axis) => {
    const all = corners.map((corner) => corner[axis]);
    return Number(Math.max(Math.min(...all) + side / 2, Math.min(Math.max(...all) - side / 2, wanted[axis])).toFixed(2));
  });
}

// The bearing in which the back of an upright phone looks, else (lying flat) its upper edge, from the three angles of the
// sensor. Source: W3C DeviceOrientation Event, worked example "compass heading".
export function heading(alpha, beta, gamma) {
  const [a, b, c] = [alpha, beta, gamma].map((angle) => (angle * Math.PI) / 180);
  if (Math.abs(beta) < 35) return (360 - alpha + 360) % 360;
  const x = -Math.cos(a) * Math.sin(c) - Math.sin(a) * Math.sin(b) * Math.cos(c);
  const y = -Math.sin(a) * Math.sin(c) + Math.cos(a) * Math.sin(b) * Math.cos(c);
  return ((Math.atan2(x, y) * 180) / Math.PI + 360) % 360;
}

export function meanBearing(bearings) {
  const rad = bearings.map((bearing) => (bearing * Math.PI) / 180);
  const mean = (Math.atan2(rad.reduce((sum, way) => sum + Math.sin(way), 0), rad.reduce((sum, way) => sum + Math.cos(way), 0)) * 180) / Math.PI;
  const spread = Math.max(...bearings.map((bearing) => Math.abs(((bearing - mean + 540) % 360) - 180)));
  return { bearing: (mean + 360) % 360, spread };
}
