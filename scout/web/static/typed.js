// What is typed, read as the server reads it (units.py, web/forms/fields.py; one table of tests holds both together), and
// judged by the limits that the page was given of the records.

const MARKS = { "’": "'", "‘": "'", "′": "'", "`": "'", "´": "'", "”": '"', "“": '"', "″": '"', "−": "-", "–": "-", "⁄": "/", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8" };
const FOOT = 0.3048;
const INCH = 0.0254;
// as in units.py: what no room has in metres, what only ground is measured with, what a length may be at most
const [ROOMY, FAR, MOST] = [30, 10_000, 1000];
const SCALE = { "": 1, m: 1, cm: 0.01, mm: 0.001, km: 1000 };
const NUMBER = "(?:\\d+(?:[.,]\\d+)?|[.,]\\d+)";
const SIGN = "^([+-]?)\\s*";
const BARE = new RegExp(`${SIGN}(${NUMBER})$`);
const METRIC = new RegExp(`${SIGN}(${NUMBER})\\s*(?:(m|cm|mm|km)|met(?:re|er)s?)?$`, "i");
const MIXED = new RegExp(`${SIGN}(\\d+)\\s*m\\s*(?:(\\d\\d)\\s*(?:cm)?|(\\d)\\s*cm)$`, "i");
const INCHES = `(?:(${NUMBER})(?:(?:\\s+|-)(\\d+)/(\\d+))?|(\\d+)/(\\d+))`;
const FEET = new RegExp(`${SIGN}(${NUMBER})\\s*(?:'|ft\\.?|foot|feet)\\s*(?:-|,|and)?\\s*(?:${INCHES}\\s*(?:"|''|in\\.?|inch(?:es)?)?)?$`, "i");
const ONLY_INCHES = new RegExp(`${SIGN}${INCHES}\\s*(?:"|''|in\\.?|inch(?:es)?)$`, "i");
const PLAIN = new RegExp(`^[+-]?${NUMBER}(?:[eE][+-]?\\d{1,3})?$`);
const decimal = (text) => Number(text.replace(",", "."));
// figures of any script, as the server reads them: those of one lie together from its nought on
const digit = (sign) => { const at = sign.codePointAt(0); let from = at; while (at - from < 9 && /\p{Nd}/u.test(String.fromCodePoint(from - 1))) from -= 1; return String(at - from); };
const tidied = (text) => [...(text ?? "")].map((sign) => MARKS[sign] ?? (/[^0-9]/.test(sign) && /\p{Nd}/u.test(sign) ? digit(sign) : sign)).join("").replace(/\s+/g, " ").trim();
const tidyNumber = (value) => String(Number(value.toPrecision(10)));

function inches([whole, over, under, alone, below]) {
  const [top, bottom] = over ? [over, under] : [alone, below];
  if (bottom !== undefined && !(Number(top) < Number(bottom))) return NaN;
  return (whole ? decimal(whole) : 0) + (bottom ? Number(top) / Number(bottom) : 0);
}

// Metres of one length, or the code of what is wrong with it.
function metres(tidy) {
  const signed = (sign, m) => (Number.isFinite(m) ? (sign === "-" ? -m : m) : "length_too_large");
  let found = tidy.match(MIXED);
  if (found) return signed(found[1], Number(found[2]) + Number(found[3] ?? found[4]) / 100);
  found = tidy.match(METRIC);
  if (found) return signed(found[1], decimal(found[2]) * SCALE[(found[3] ?? "").toLowerCase()]);
  found = tidy.match(FEET);
  if (found) {
    const rest = inches(found.slice(3));
    if (Number.isNaN(rest)) return "fraction";
    if (rest >= 12) return "inches_over";
    return rest && /[.,]/.test(found[2]) ? "part_of_a_foot" : signed(found[1], (decimal(found[2]) * 12 + rest) * INCH);
  }
  found = tidy.match(ONLY_INCHES);
  if (!found) return "no_length";
  const all = inches(found.slice(2));
  return Number.isNaN(all) ? "fraction" : signed(found[1], all * INCH);
}

// What a number without a unit may be, likeliest first, as units.could_be says it.
export function couldBe(text, units = "metric", most = MOST) {
  const found = tidied(text).match(BARE);
  if (!found) return [];
  const [sign, number] = [found[1] === "-" ? "-" : "", decimal(found[2])];
  if (units === "feet") {
    if (!number) return [];
    const read = [[number * FOOT, `${tidyNumber(number)}'`], [number * INCH, `${Math.floor(number / 12)}' ${tidyNumber(number % 12)}"`]].filter(([m]) => m <= most);
    return read.sort(([a], [b]) => (a > Math.min(ROOMY, most)) - (b > Math.min(ROOMY, most))).map(([, words]) => sign + words);
  }
  const roomy = Math.min(ROOMY, most);
  const toTheCentimetre = /[.,]..+/.test(found[2]); // as a laser says it
  if (number <= roomy || most > FAR || (toTheCentimetre && number <= most)) return [];
  const parts = (number >= 1000 ? [number / 1000, number / 100] : [number / 100, number / 1000]).filter((m) => m >= 0.05 && m <= roomy);
  if (parts.length && number <= most) parts.push(number);
  return parts.map((m) => `${sign}${Number(m.toFixed(4))} m`);
}

// Metres of what was typed: one length, or (`runs`) several added up and taken away (1.2+0.8, 5 - 0.3). With them what is
// wrong: the code of a refusal, and what it may be where it has no unit. null: nothing typed.
export function read(text, { units = "metric", most = MOST, runs = false } = {}) {
  const tidy = tidied(text);
  if (!tidy) return null;
  const parts = runs ? tidy.split(units === "feet" ? /(?<=.)(\+| - )/ : /(?<=.)([+-])/) : [tidy];
  const one = (part) => {
    const offers = couldBe(part, units, most);
    if (offers.length) return { m: NaN, fault: "which_unit", offers };
    if (units === "feet" && BARE.test(part) && decimal(part.match(BARE)[2])) return { m: NaN, fault: "no_unit" };
    const m = metres(part);
    return typeof m === "string" ? { m: NaN, fault: m } : { m };
  };
  const found = parts.filter((_, at) => at % 2 === 0).map((part) => one(part.trim()));
  if (found.length === 1) return found[0];
  const bad = found.find(({ fault }) => fault);
  if (bad) return { m: NaN, fault: bad.fault === "which_unit" ? "no_length" : bad.fault };
  return { m: found.reduce((sum, { m }, at) => sum + (parts[2 * at - 1]?.trim() === "-" ? -m : m), 0) };
}
// the same as a number: NaN for what is no length, or may be several
export const length = (text, units = "metric", { most = MOST, runs = true } = {}) => { const found = read(text, { units, most, runs }); return found && found.m; };

const mostOf = (limits) => (limits.some(([end]) => end[0] === "l") ? Math.min(...limits.filter(([end]) => end[0] === "l").map(([, bound]) => bound)) : MOST);
const BEYOND = { gt: (value, bound) => !(value > bound), ge: (value, bound) => !(value >= bound), lt: (value, bound) => !(value < bound), le: (value, bound) => !(value <= bound) };

// What is wrong with what was typed, in the server's words, and what else it may be. null: nothing.
export function judged(text, { reads, limits = [], unit = "", runs = false, units, words }) {
  const typed = (text ?? "").trim();
  if (!typed) return null;
  const no = (because, offers = []) => ({ words: `“${typed}” ${because}`, offers });
  let value;
  if (!["length", "number", "whole", "share", "bearing"].includes(reads)) {
    const long = limits.find(([end, bound]) => end === "max_length" && [...typed].length > bound);
    return long ? { words: long[2], offers: [] } : null;
  }
  if (reads === "bearing") {
    value = bearing(typed)?.degrees;
    if (value === undefined) return no(words.no_bearing);
  } else if (reads === "length") {
    const found = read(typed, { units, most: mostOf(limits), runs });
    if (found.fault) return no(words[found.fault].replace("OFFERS", (found.offers ?? []).join(" or ")), found.offers);
    value = found.m;
  } else {
    let bare = tidied(typed);
    const share = reads === "share" && bare.endsWith("%");
    if (share) bare = bare.slice(0, -1).trim();
    else if (unit && bare.toLowerCase().endsWith(unit.toLowerCase())) bare = bare.slice(0, -unit.length).trim();
    if (!PLAIN.test(bare) || !Number.isFinite(decimal(bare))) return no(words.no_number);
    value = share ? decimal(bare) / 100 : decimal(bare);
    if (reads === "whole" && !Number.isInteger(value)) return no(words.not_whole);
  }
  const beyond = limits.find(([end, bound]) => BEYOND[end]?.(value, bound));
  return beyond ? no(beyond[2]) : null;
}

// The bearing that was typed: degrees, or one of the compass's words with the doubt that it has, as units.parse_bearing reads
// it. null: neither.
const WINDS = "N NNE NE ENE E ESE SE SSE S SSW SW WSW W WNW NW NNW".split(" ");
export function bearing(text) {
  const bare = tidied(text).toLowerCase().replace(/\s*(?:°|deg(?:rees?)?)$/, "");
  if (PLAIN.test(bare)) return { degrees: decimal(bare) };
  const at = WINDS.indexOf(bare.replace(/^due /, "").replace(/north|east|south|west/g, ([first]) => first).replace(/[\s-]/g, "").toUpperCase());
  return at < 0 ? null : { degrees: 22.5 * at, doubt: at % 2 ? 11.25 : 22.5 };
}

// Shows it under a field, where one tap takes one of what it may be.
export function tell(line, field, found) {
  line.hidden = !found;
  if (found) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
  if (found && line.firstChild?.textContent === found.words) return; // a button that is being pressed stays
  line.textContent = found?.words ?? "";
  if (!found?.offers.length) return;
  const row = document.createElement("span");
  row.className = "chips";
  for (const offer of found.offers) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = `${offer}?`;
    button.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
    button.addEventListener("click", () => { field.value = offer; field.dispatchEvent(new Event("input", { bubbles: true })); });
    row.append(button);
  }
  line.append(row);
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
  const marked = tidied(text).replaceAll("''", '"').replace(/[º˚]/g, "°");
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
