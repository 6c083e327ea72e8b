// Numbers of a walk: lengths as a tape or a laser says them, and the loop of walls closed. Nothing here knows the page.

const MARKS = { "’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "−": "-", "–": "-", "⁄": "/", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8" };
const INCH = 0.0254;
const SCALE = { "": 1, m: 1, cm: 0.01, mm: 0.001 };
const METRIC = /^(\d+(?:[.,]\d+)?|[.,]\d+)\s*(m|cm|mm)?$/i;
const INCHES = '(?:(\\d+(?:[.,]\\d+)?)(?:(?:\\s+|-)(\\d+)/(\\d+))?|(\\d+)/(\\d+))';
const FEET = new RegExp(`^(\\d+(?:[.,]\\d+)?)\\s*(?:'|ft)\\s*-?\\s*(?:${INCHES}\\s*(?:"|''|in)?)?$`, "i");
const ONLY_INCHES = new RegExp(`^${INCHES}\\s*(?:"|''|in)$`, "i");
const decimal = (text) => Number(text.replace(",", "."));

function inches([whole, over, under, alone, below]) {
  const [top, bottom] = over ? [over, under] : [alone, below];
  if (bottom !== undefined && !(Number(top) < Number(bottom))) return NaN;
  return (whole ? decimal(whole) : 0) + (bottom ? Number(top) / Number(bottom) : 0);
}

function oneLength(text, units) {
  let found = text.match(METRIC);
  if (found) return units === "feet" && !found[2] && decimal(found[1]) !== 0 ? NaN : decimal(found[1]) * SCALE[(found[2] ?? "").toLowerCase()];
  found = text.match(FEET);
  if (found) {
    const rest = inches(found.slice(2));
    return rest < 12 && !(rest && /[.,]/.test(found[1])) ? (decimal(found[1]) * 12 + rest) * INCH : NaN;
  }
  found = text.match(ONLY_INCHES);
  return found ? inches(found.slice(1)) * INCH : NaN;
}

// Metres of what was typed: one length, or runs added up and taken away (1.2+0.8, 5 - 0.3). null: nothing typed; NaN: not a length.
export function length(text, units = "metric") {
  const tidy = [...(text ?? "")].map((sign) => MARKS[sign] ?? sign).join("").replace(/\s+/g, " ").trim();
  if (!tidy) return null;
  const runs = tidy.split(units === "feet" ? /(\+| - )/ : /([+-])/);
  let sum = 0;
  for (let at = 0; at < runs.length; at += 2) {
    const run = oneLength(runs[at].trim(), units);
    sum += runs[at - 1]?.trim() === "-" ? -run : run;
  }
  return sum;
}

// A pasted position, as the server's forms read it: "51.45, -2.58", 51°27'N 2°34.8'W, N51.45 W2.58; also in a map's link
// (@51.45,-2.58 or =51.45,-2.58 or #map=16/51.45/-2.58) and geo:51.45,-2.58. null: not one.
const ONE = "(?:\\d+(?:[.,]\\d+)?|[.,]\\d+)";
const CORE = `([+-])?\\s*(${ONE})\\s*°?\\s*(?:(${ONE})\\s*'\\s*(?:(${ONE})\\s*"\\s*)?)?`;
const ANGLE = `(?:([NSEW])\\s*${CORE}|${CORE}([NSEW])?)`;
const PAIR = new RegExp(`^\\(?\\s*${ANGLE}(\\s*[,;/\\s]\\s*)${ANGLE}\\s*\\)?$`, "i");
const LINK = /(?:^geo:|[@=]|#map=\d+(?:\.\d+)?\/)(-?\d+\.\d+)(?:,|%2C|\/)(-?\d+\.\d+)/i;

function angle([before, ...rest]) {
  const at = before ? 0 : 4;
  const [sign, degrees, minutes, seconds] = rest.slice(at, at + 4);
  const letter = (before ?? rest[8] ?? "").toUpperCase();
  const [d, m, s] = [degrees, minutes, seconds].map((part) => decimal(part ?? "0"));
  if ((letter && sign) || m >= 60 || s >= 60 || (minutes && !Number.isInteger(d))) return null;
  const size = Number((d + m / 60 + s / 3600).toFixed(9));
  return { degrees: sign === "-" || /[SW]/.test(letter) ? -size : size, axis: /[NS]/.test(letter) ? "lat" : /[EW]/.test(letter) ? "lon" : null, signed: Boolean(sign || letter), digits: degrees };
}

export function position(text) {
  const marked = [...(text ?? "")].map((sign) => MARKS[sign] ?? sign).join("").replaceAll("''", '"').replace(/[º˚]/g, "°").replace(/\s+/g, " ").trim();
  const link = marked.match(LINK);
  const tidy = link ? `${link[1]}, ${link[2]}` : marked;
  const found = tidy.match(PAIR);
  if (!found || /^[\d ]+$/.test(tidy)) return null;
  const [first, second] = [angle(found.slice(1, 11)), angle(found.slice(12, 22))];
  if (!first || !second) return null;
  // one number grouped by thousands, perhaps
  if (found[11] === "," && !first.axis && !second.signed && !(first.digits.includes(".") && second.digits.includes("."))) return null;
  const other = { lat: "lon", lon: "lat" };
  const axes = [first.axis ?? other[second.axis] ?? "lat", second.axis ?? other[first.axis] ?? "lon"];
  if (axes[0] === axes[1]) return null;
  const [latitude, longitude] = axes[0] === "lat" ? [first.degrees, second.degrees] : [second.degrees, first.degrees];
  return Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180 ? [latitude, longitude] : null;
}

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
