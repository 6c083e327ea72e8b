// A room recorded in the order of a walk. All of it is written into IndexedDB as it happens; sending puts the room, its
// photos, its recording and its note into the outbox in one step.

const root = document.querySelector("#walk");
// by the addresses that carry their version, as the page itself asks for them: they are the ones kept for a basement
const [{ all, drop, each, flush, one, put, shelve, together, uuid, whyNot }, { area, gap, heading, laid, meanBearing, traverse, within }, { bearing, couldBe, judged, length, position, read, tell: say }, { patched, same, withValue }, { listened, loudness, MEMO_SECONDS }, { inches, misfits, saying, told }, { placed }] =
  await Promise.all([root.dataset.box, root.dataset.shape, root.dataset.typing, root.dataset.merging, root.dataset.recorder, root.dataset.fitting, root.dataset.labels].map((address) => import(address)));
const [WORDS, LIMITS, FITS] = [root.dataset.words, root.dataset.limits, root.dataset.fits].map((text) => JSON.parse(text));
const { units, location: place, country, by, token, onRoom } = root.dataset;
let page = { recorded: JSON.parse(root.dataset.recorded), seen: Number(root.dataset.seen) };
const find = (query, from = root) => from.querySelector(query);
const findAll = (query, from = root) => [...from.querySelectorAll(query)];
const make = (tag, words = "", attributes = {}) => {
  const made = document.createElement(tag);
  made.textContent = words;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
};
const STEPS = { photos: "Photos", shape: "Shape", facing: "Facing", openings: "Openings", surfaces: "Surfaces", sound: "Sound", light: "Light", power: "Power", access: "Access", people: "People", marks: "Marks", send: onRoom ? "Save" : "Send" };
const DRAWN = ["shape", "facing", "openings", "marks"];
const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const FOOT = 0.3048;
const M = (text) => length(text, units);
// as it is drawn: a length that may be several things by the likeliest of them; only `record` takes none for it
const likely = (text) => { const [offer] = read(text, { units })?.offers ?? []; return M(offer ?? text); };
const shown = (m) => (units === "feet" ? inches(m) : `${Number(m.toFixed(3))}${couldBe(String(m)).length ? " m" : ""}`);
const said = (m) => (units === "feet" ? inches(m) : `${m.toFixed(2)} m`);

// Common practice, by country: what is sold and where electricians put it; offered as such, to be measured.
const SIZES = {
  US: { door: [0.813, 2.032], window: [0.914, 1.219, 0.914], low: 0.406 },
  GB: { door: [0.762, 1.981], window: [1.2, 1.05, 0.9], low: 0.45 },
  "": { door: [0.86, 2.01], window: [1.2, 1.2, 0.9], low: 0.3 },
}[country === "CA" ? "US" : ["US", "GB"].includes(country) ? country : ""];
const PRESETS = [
  ["window", `Window ${said(SIZES.window[0])} by ${said(SIZES.window[1])}`, SIZES.window],
  ["window", "Tall window", [1.0, 1.8, 0.4]],
  ["window", "Glass to the floor", [1.6, 2.1, 0]],
  ["door", `Door ${said(SIZES.door[0])}`, [...SIZES.door, 0]],
  ["door", "Double door", [SIZES.door[0] * 2, SIZES.door[1], 0]],
  ["socket", "Low socket", [0, SIZES.low, 0]],
  ["socket", "Socket over a worktop", [0, 1.1, 0]],
];
// common practice too: width, depth, height of what stands on the floor
const SEATS = ["sofa", "bed", "chair"];
const PIECES = { sofa: [2.0, 0.9, 0.85], table: [1.4, 0.8, 0.75], desk: [1.4, 0.7, 0.75], bed: [1.4, 2.0, 0.55], cupboard: [1.0, 0.6, 2.0], chair: [0.5, 0.5, 0.9], mirror: [0.6, 0.03, 1.8], television: [1.25, 0.08, 1.65], picture: [0.7, 0.03, 1.75] };
const HUNG = { mirror: 0.9, television: 0.95, picture: 1.25 }; // up to where the wall below is bare; all of glass
if (country === "US") for (const preset of PRESETS) preset[1] = preset[1].replace("ocket", "utlet").replace("Sutlet", "Outlet").replace("sutlet", "outlet");

const fresh = () => ({ once: uuid(), at: new Date().toISOString(), step: "photos", typed: {}, chosen: { shape: "rect", "facing.north": "magnetic", "facing.wall": "A", marking: "seated", setting: "interior" }, legs: [{ typed: "", turn: 90 }], things: [], surfaces: {}, target: "walls", marks: {}, high: {}, others: [], pieces: [], circuits: [], contacts: [], photos: [], memos: [], sound: null, compass: null, base: {}, ...page });
let state = fresh();
let pending = null; // where a wall was tapped
let picked = -1; // which opening is open
let held = -1; // which piece of furniture the next tap moves
let moved = -1; // which person the next tap moves: 0 is the subject, the others follow
let pads = null; // the field that the keypad writes into
const draftKey = () => (onRoom ? `walk room ${onRoom}` : `walk ${place} ${state.once}`);
const walkedKey = `walked room ${onRoom}`; // what the server said last, for a page that was kept before

// -- a walk begins with what is recorded

const legsOf = (list) => JSON.stringify(list.map(({ typed, turn }) => [typed, turn]));
function filled({ room = {}, marks = {}, place: at = {} }) {
  const made = fresh();
  const text = (m) => (m === undefined || m === null ? "" : shown(m));
  const plain = (value) => (value === undefined || value === null ? "" : String(value));
  const yes = (value) => (value === undefined || value === null ? undefined : value ? "yes" : "no");
  const way = room.way_in ?? {};
  if (onRoom) made.chosen.setting = room.setting ?? undefined;
  made.typed = { name: plain(room.name), width: text(room.width_m), depth: text(room.length_m), height: text(room.height_m), "way.steps": plain(way.steps), "way.door": text(way.door_width_m), "way.carry": text(way.carry_m), "place.load_in": plain(at.load_in), "place.care": plain(at.emergency_care), hazards: plain(at.hazards), position: at.latitude_deg === undefined ? "" : `${at.latitude_deg}, ${at.longitude_deg}` };
  made.chosen["way.lift"] = yes(way.lift);
  made.chosen["place.signal"] = at.phone_signal;
  if (room.plan_m) {
    const { plan_m: corners } = room;
    const sides = corners.map(([x, y], i) => { const [u, v] = corners[(i + 1) % corners.length]; return { long: Math.hypot(u - x, v - y), way: (Math.atan2(v - y, u - x) * 180) / Math.PI }; });
    made.chosen.shape = "walk";
    made.legs = sides.map(({ long, way: from }, i) => ({ typed: shown(long), turn: Number((((from - sides[(i + 1) % sides.length].way + 540) % 360) - 180).toFixed(4)), turned: true }));
    made.given = { corners, legs: legsOf(made.legs) };
  }
  if (room.facing) {
    const { wall, bearing_deg: bearing, north } = room.facing;
    made.typed["facing.bearing"] = plain(bearing);
    Object.assign(made.chosen, { "facing.wall": wall, "facing.north": north ?? undefined });
    made.facing = { recorded: room.facing, as: JSON.stringify([plain(bearing), wall, north ?? undefined]) };
  }
  for (const [kind, list] of [["window", room.windows], ["door", room.doors], ["socket", room.outlets]])
    for (const one of list ?? []) made.things.push({ id: one.id, kind, wall: one.wall, offset: text(one.offset_m), width: text(one.width_m), height: text(one.height_m), sill: text(one.sill_m), exit: one.keep_free ?? undefined, circuit: one.circuit ?? undefined, sockets: one.sockets ?? undefined, assumed: false });
  for (const [name, one] of Object.entries(room.surfaces ?? {})) {
    const button = one?.colour?.srgb && findAll("[data-colour]").find(({ dataset }) => dataset.colour.toLowerCase() === one.colour.srgb.toLowerCase());
    if (one) made.surfaces[name] = { colour: one.colour?.srgb, called: one.colour ? (button?.dataset.value ?? one.colour.srgb ?? "measured colour") : undefined, material: one.material ?? undefined };
  }
  made.circuits = (room.circuits ?? []).map((one) => ({ id: one.id, breaker: plain(one.breaker_a), volts: plain(one.volts), load: plain(one.other_load_w), traced: yes(one.verified) }));
  made.pieces = (room.furniture ?? []).map((one) => ({ id: one.id, called: one.id, at: one.at_m ?? undefined, size: [one.width_m, one.depth_m, one.height_m], turn: one.turn_deg ?? 0, recorded: true }));
  for (const name of ["subject", "camera"]) if (marks[name]) { made.marks[name] = marks[name].slice(0, 2); [, , made.high[name]] = marks[name]; }
  const faceAt = (high) => (high < 1.4 ? "seated" : "standing");
  made.others = (marks.others ?? []).map(([x, y, high]) => ({ at: [x, y], high, face: faceAt(high) }));
  if (marks.subject) { made.face = faceAt(marks.subject[2]); made.chosen.marking = "camera"; }
  made.contacts = (at.contacts ?? []).map((one) => ({ name: plain(one.name), role: plain(one.role), phone: plain(one.phone), recorded: one }));
  return made;
}
function begin() {
  held = moved = -1;
  state = filled(page.recorded);
  state.base = record();
}
// a draft, whichever version of this page began it
function goOn(draft) {
  state = { ...fresh(), ...draft, sent: false };
  const { breaker, volts, load, "place.parking": far } = state.typed;
  if (far) state.typed["way.carry"] ||= far;
  if (breaker && !state.circuits.length) state.circuits = [{ id: "K1", breaker, volts, load, traced: state.chosen.traced }];
  for (const piece of state.pieces) { piece.id ??= named(piece.called); piece.size ??= PIECES[piece.called]; }
}
function labels() {
  const used = new Set(["things", "pieces", "circuits"].flatMap((list) => state[list].map(({ id }) => id?.toLowerCase())));
  for (const list of Object.values(state.recorded.room ?? {})) if (Array.isArray(list)) for (const one of list) used.add(one?.id?.toLowerCase?.());
  return used;
}
// the first label of a letter that nothing bears
function free(letter) {
  const used = labels();
  for (let number = 1; ; number += 1) if (!used.has(`${letter}${number}`.toLowerCase())) return letter + number;
}
// a piece is called by its kind: Table, then Table 2
function named(kind) {
  const [used, name] = [labels(), kind[0].toUpperCase() + kind.slice(1)];
  for (let number = 1; ; number += 1) if (!used.has(number > 1 ? `${kind} ${number}` : kind)) return number > 1 ? `${name} ${number}` : name;
}
// which kind its name says, of a piece that is recorded
const kindOf = (called) => called.toLowerCase().replace(/ \d+$/, "");
const pieceSaid = ({ id, called, recorded }) => (!recorded && PIECES[kindOf(id)] ? id.toLowerCase() : called);

// -- kept as it happens

let asked = 0;
async function keep() {
  const turn = ++asked;
  try {
    await put("drafts", { key: draftKey(), at: Date.now(), walk: state });
    if (turn === asked && !(onRoom && (await settled()))) find("[data-kept]").textContent = "Kept on this phone";
  } catch {
    find("[data-kept]").textContent = "This phone keeps nothing: its storage is full or shut. Send now.";
  }
}
function changed() { draw(); lists(); keep(); }

// -- the plan

function plan(of = likely) {
  if (state.chosen.shape === "rect") {
    const [width, depth] = [of(state.typed.width), of(state.typed.depth)];
    return width > 0 && depth > 0 ? { corners: [[0, depth], [width, depth], [width, 0], [0, 0]], off_m: 0, whole: true } : null;
  }
  if (state.given?.legs === legsOf(state.legs)) return { corners: state.given.corners, off_m: 0, whole: true };
  const typed = state.legs.filter((leg) => leg.typed.trim()).map((leg) => ({ length: of(leg.typed), turn: leg.turn }));
  const legs = typed.filter((leg) => leg.length > 0);
  if (legs.length < 2 || (of === M && legs.length < typed.length)) return null;
  const walked = traverse(legs);
  const round = legs.length >= 3 && walked.off_m < 0.25 * walked.length_m && Math.abs(legs.reduce((sum, { turn }) => sum + turn, 0)) === 360;
  if (round) return { ...walked, corners: laid(walked.corners), whole: true, left: area(walked.corners) > 0 };
  let way = 0;
  const open = [[0, 0]];
  for (const leg of legs) {
    open.push([open.at(-1)[0] + leg.length * Math.cos(way), open.at(-1)[1] + leg.length * Math.sin(way)]);
    way -= (leg.turn * Math.PI) / 180;
  }
  return { corners: open, off_m: 0, whole: false };
}

// What is left to the beginning, where the last walls are square: the lengths that nobody need measure.
function rest() {
  const legs = state.legs.map((leg) => ({ length: M(leg.typed), turn: leg.turn }));
  if (legs.length < 3 || !legs.every(({ turn }) => Math.abs(turn) === 90) || legs.slice(0, -1).some((leg) => !(leg.length > 0))) return null;
  let way = 0, at = [0, 0];
  for (const leg of legs.slice(0, -1)) {
    at = [at[0] + leg.length * Math.cos(way), at[1] + leg.length * Math.sin(way)];
    way -= (leg.turn * Math.PI) / 180;
  }
  const last = -(at[0] * Math.cos(way) + at[1] * Math.sin(way));
  const off = Math.abs(-at[0] * Math.sin(way) + at[1] * Math.cos(way));
  return last > 0.05 && off < 0.25 ? last : null;
}

const walls = () => {
  const found = plan();
  if (!found) return [];
  const { corners, whole } = found;
  return corners.slice(0, whole ? undefined : -1).map((from, at) => ({ letter: LETTERS[at], from, to: corners[(at + 1) % corners.length] }));
};
// What is odd about the walls, each with the wall's letter: it is kept and drawn, and asked about.
function oddities() {
  const rect = state.chosen.shape === "rect";
  const each = (rect ? [state.typed.width, state.typed.depth] : state.legs.map(({ typed }) => typed)).map((text, at) => ({ letter: LETTERS[at], text: (text ?? "").trim(), m: M(text) })).filter(({ text }) => text);
  const found = [];
  for (const { letter, text, m } of each) {
    if (likely(text) !== m && likely(text) > 0) found.push({ letter, words: `Wall ${letter}: ${text} without a unit? Drawn dashed as ${said(likely(text))} until you say.` });
    else if (!(m > 0)) found.push({ letter, words: `Wall ${letter} is not drawn: “${text}” is no length.` });
    const others = each.filter((one) => one.letter !== letter).reduce((sum, one) => sum + (likely(one.text) || 0), 0);
    // no loop closes with a wall that is longer than all the others; a rectangle may be a corridor
    const round = rect || (each.length > 2 && Math.abs(state.legs.reduce((sum, { turn }) => sum + turn, 0)) === 360);
    if (!(round && others > 0 && m > (rect ? Math.max(30, 20 * others) : others))) continue;
    const [meant] = [10, 12, 100, 1000].map((times) => m / times).filter((less) => less <= 1.05 * others);
    found.push({ letter, words: `Wall ${letter}: ${said(m)}? ${rect ? "That is over 20 times the other wall" : "All the others together are shorter"}${meant ? `: did you mean ${said(meant)}?` : "."}` });
  }
  return found;
}
const run = ({ from, to }) => Math.hypot(to[0] - from[0], to[1] - from[1]);
const along = (wall, m) => [0, 1].map((axis) => wall.from[axis] + ((wall.to[axis] - wall.from[axis]) * m) / run(wall));

// What of it does not fit the rest, in the record's words; it is kept and may be sent all the same.
function unfit() {
  const found = plan(M);
  const whole = found?.whole ? found.corners : null;
  const says = saying(FITS, units);
  const lengths = whole && Object.fromEntries(walls().map((wall) => [wall.letter, run(wall)]));
  return misfits(record(), lengths, whole, says).map((one) => ({ ...one, words: told(one, says) }));
}
const KINDS = { windows: "window", doors: "door", outlets: "socket" };
const CALLED = { subject: "The person", camera: "The camera" };
const unfitOf = (all, thing, name) => all.find(({ kind, id, field }) => KINDS[kind] === thing?.kind && id === thing.id && (!name || field === `${name}_m`));

let view = null;
function draw() {
  const svg = find("[data-plan]");
  const found = plan();
  const near = find("[data-near]"); // beside the keys, for the drawing is out of sight while the last walls are typed
  near.hidden = true;
  find(".walk-plan").hidden = !DRAWN.includes(state.step) || !found;
  if (!found) return;
  const [xs, ys] = [0, 1].map((axis) => found.corners.map((corner) => corner[axis]));
  const { width: across, height: down } = svg.getBoundingClientRect();
  // as broad as the screen shows it, so that letters stay as large as they are meant
  const wide = 340, high = across ? Math.max(150, Math.min(340, (340 * down) / across)) : 260, edge = 30;
  const scale = Math.min((wide - 2 * edge) / Math.max(0.5, Math.max(...xs) - Math.min(...xs)), (high - 2 * edge) / Math.max(0.5, Math.max(...ys) - Math.min(...ys)));
  const middle = [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2];
  view = { scale, middle, wide, high };
  const at = ([x, y]) => [wide / 2 + (x - middle[0]) * scale, high / 2 - (y - middle[1]) * scale];
  svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
  const put = (tag, attributes, words = "") => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    made.textContent = words;
    return made;
  };
  const line = (a, b, name) => put("line", { x1: at(a)[0], y1: at(a)[1], x2: at(b)[0], y2: at(b)[1], class: name });
  const parts = [], labels = [], dots = [];
  const odd = oddities();
  const doubted = new Set(odd.flatMap(({ letter }) => (state.chosen.shape === "rect" ? [letter, { A: "C", B: "D" }[letter]] : [letter])));
  for (const wall of walls()) {
    const chosen = state.step === "facing" ? state.chosen["facing.wall"] === wall.letter : pending?.wall === wall.letter;
    parts.push(line(wall.from, wall.to, `wall${chosen ? " chosen" : ""}${doubted.has(wall.letter) ? " doubted" : ""}`));
    const [u, v] = [(wall.to[1] - wall.from[1]) / run(wall), (wall.to[0] - wall.from[0]) / run(wall)];
    // outside, beside its middle; else farther out or along, and inside where the outside is taken
    const beside = (share, off) => { const [x, y] = at(along(wall, run(wall) * share)); return [x - u * off, y - v * off]; };
    labels.push({ words: wall.letter, must: true, tries: [16, 13, 22, -14, 30, -22, 40].flatMap((off) => [0.5, 0.35, 0.65, 0.2, 0.8].map((share) => beside(share, off))) });
  }
  for (const thing of state.things) {
    const wall = walls().find(({ letter }) => letter === thing.wall);
    const from = M(thing.offset);
    if (!wall || !(from >= 0)) continue;
    if (thing.kind === "socket") {
      const [x, y] = at(along(wall, from));
      parts.push(put("circle", { cx: x, cy: y, r: 5, class: "thing" }));
      dots.push([x, y, 4]);
      continue;
    }
    const ends = [along(wall, from), along(wall, from + (M(thing.width) || 0))];
    parts.push(line(...ends, "opening"));
    if (thing.kind === "window") parts.push(line(...ends, "glass"));
  }
  for (const piece of state.pieces) {
    if (!piece.at) continue;
    const [x, y] = at(piece.at);
    const [width, depth] = piece.size.map((side) => (side ?? 0.3) * scale);
    parts.push(put("rect", { x: x - width / 2, y: y - depth / 2, width, height: depth, transform: `rotate(${piece.turn ?? 0} ${x} ${y})`, class: piece === state.pieces[held] ? "thing held" : "thing" }));
  }
  const people = state.others.map((one, turn) => [`person ${turn + 2}`, one.at]);
  for (const [name, spot] of [...Object.entries(state.marks), ...people]) {
    const [x, y] = at(spot);
    parts.push(name === "camera" ? put("rect", { x: x - 7, y: y - 6, width: 14, height: 12, class: "thing" }) : put("circle", { cx: x, cy: y, r: 8, class: "thing" }));
    dots.push([x, y, 7]);
    labels.push({ words: name === "subject" ? (state.others.length ? "person 1" : "person") : name, must: true, tries: [[0, 18], [0, -18], [36, 0], [-36, 0], [30, 18], [-30, 18], [30, -18], [-30, -18], [0, 30]].map(([right, under]) => [x + right, y + under]) });
  }
  for (const piece of state.pieces) {
    const { at: middle, size: [width, depth], turn = 0 } = piece;
    if (!middle) continue;
    const called = pieceSaid(piece);
    const [x, y] = at(middle);
    const [right, under] = (turn % 180 ? [depth, width] : [width, depth]).map((side) => ((side ?? 0.3) * scale) / 2);
    // in it, else beside it; where there is no room it is named in the list alone
    labels.push({ words: called, tries: [[0, 0], [0, -under / 2], [0, under / 2], [0, under + 9], [0, -under - 9], [right + 4.2 * called.length, 0], [-right - 4.2 * called.length, 0]].map(([over, below]) => [x + over, y + below]) });
  }
  if (pending) {
    const wall = walls().find(({ letter }) => letter === pending.wall);
    if (wall) { const [cx, cy] = at(along(wall, pending.at)); parts.push(put("circle", { cx, cy, r: 6, class: "here" })); }
  }
  const lines = walls().map((wall) => [at(wall.from), at(wall.to)]);
  svg.replaceChildren(...parts, ...placed(labels, { lines, dots, within: [wide, high] }).map(({ words, at: [x, y] }) => put("text", { x, y }, words)));
  const told = odd.map(({ words }) => words);
  if (found.whole && state.chosen.shape === "walk") told.push(found.off_m < 0.0005 ? "The walls meet." : `The walls miss by ${said(found.off_m)}; it is spread over them.`);
  if (found.off_m > 0.3) told.push("That is much: measure the longest wall again.");
  if (found.left) told.push("You walked with the wall on your left: letters go round the other way.");
  if (!found.whole && state.chosen.shape === "walk") told.push("Not round yet: the turns must add up to a full circle.");
  find("[data-closing]").textContent = told.join(" ");
  if (near.textContent !== told.join(" ")) near.textContent = told.join(" ");
  near.hidden = state.step !== "shape" || !told.length || (!odd.length && !found.whole);
}

function spot(event) {
  const svg = find("[data-plan]");
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [view.middle[0] + (at.x - view.wide / 2) / view.scale, view.middle[1] - (at.y - view.high / 2) / view.scale];
}
function nearest([x, y]) {
  let best = null;
  for (const wall of walls()) {
    const long = run(wall);
    const at = Math.max(0, Math.min(long, ((x - wall.from[0]) * (wall.to[0] - wall.from[0]) + (y - wall.from[1]) * (wall.to[1] - wall.from[1])) / long));
    const foot = along(wall, at);
    const off = Math.hypot(x - foot[0], y - foot[1]);
    if (!best || off < best.off) best = { wall: wall.letter, at, off, long };
  }
  return best;
}
find("[data-plan]").addEventListener("click", (event) => {
  const at = spot(event);
  if (state.step === "marks") mark(at);
  if (state.step === "facing") { state.chosen["facing.wall"] = nearest(at)?.wall ?? state.chosen["facing.wall"]; changed(); }
  if (state.step === "openings") { pending = nearest(at); picked = -1; changed(); }
});

const FACES = ["seated", "standing"];
const BODY_M = 0.3; // half a person with elbows: a tap so near means them
const people = () => [...(state.marks.subject ? [{ at: state.marks.subject, face: state.face }] : []), ...state.others];
const personSaid = (number) => (state.others.length ? `person ${number + 1}` : "the person");
// where somebody stands: a face that is said anew has the height of its kind
function stand(number, at, face) {
  if (number === 0) {
    state.marks.subject = at;
    if (face) { state.face = face; delete state.high.subject; }
    return;
  }
  const was = state.others[number - 1] ?? {};
  state.others[number - 1] = face ? { at, face } : { ...was, at };
}
function leave(number) {
  if (number > 0) { state.others.splice(number - 1, 1); return; }
  const next = state.others.shift(); // whoever is next is the one that is judged
  if (!next) { delete state.marks.subject; delete state.high.subject; return; }
  stand(0, next.at, next.face);
  if (next.high !== undefined) state.high.subject = next.high;
}

function mark(at) {
  const called = state.chosen.marking, spot = at.map((part) => Number(part.toFixed(2)));
  if (moved >= 0) { stand(moved, spot); moved = -1; changed(); return; }
  if (held < 0 && !called) {
    moved = people().findIndex((one) => Math.hypot(one.at[0] - at[0], one.at[1] - at[1]) < BODY_M);
    if (moved < 0) held = state.pieces.findIndex((piece) => piece.at && gap(at, piece) === 0);
    changed();
    return;
  }
  if (held < 0 && PIECES[called]) held = state.pieces.push({ id: named(called), called, size: PIECES[called], turn: 0 }) - 1;
  const piece = state.pieces[held];
  if (piece) {
    piece.at = within(at, piece, plan().corners);
    changed();
    return;
  }
  if (FACES.includes(called)) {
    stand(people().length, spot, called);
    state.chosen.marking = state.marks.camera ? undefined : "camera"; // a second one only if it is said again
  } else {
    state.marks.camera = spot;
    delete state.high.camera;
  }
  changed();
}

// Who stands in what. Half a body, and half a camera, from its middle: common practice.
function crowded() {
  const stands = [...(state.marks.camera ? [["camera", state.marks.camera]] : []), ...people().map((one, number) => [personSaid(number), one.at, one.face])];
  return stands.flatMap(([name, spot, face]) => {
    const piece = state.pieces.find((one) => one.at && gap(spot, one) < (name === "camera" ? 0.1 : 0.25));
    if (!piece) return [];
    const what = piece.recorded ? piece.called : `the ${pieceSaid(piece)}`;
    const who = name === "camera" ? "The camera" : name[0].toUpperCase() + name.slice(1);
    if (name !== "camera" && face === "seated" && SEATS.includes(kindOf(piece.called))) return [`${who} sits on ${what}.`];
    return [`${who} stands where ${what} is: move one of them.`];
  });
}
for (const [query, deed] of [
  ["[data-turn]", (piece) => { piece.turn = ((piece.turn ?? 0) + 90) % 360; if (piece.at) piece.at = within(piece.at, piece, plan().corners); }],
  ["[data-held-gone]", () => { state.pieces.splice(held, 1); release(); }],
  ["[data-held-done]", () => release()],
]) find(query).addEventListener("click", () => { deed(state.pieces[held]); changed(); });
// no tap may put a second one there unasked
function release() {
  held = moved = -1;
  if (PIECES[state.chosen.marking]) state.chosen.marking = undefined;
}

// -- lists that follow from what is kept

function wallButtons(holder, chosen, choose) {
  const row = make("div", "", { class: "chips walls", role: "group", "aria-label": "Wall" });
  if (walls().length) row.append(make("span", "Wall"));
  for (const wall of walls()) {
    const button = make("button", wall.letter, { type: "button", "aria-label": `Wall ${wall.letter}`, "aria-pressed": String(chosen === wall.letter) });
    button.addEventListener("click", () => choose(wall));
    row.append(button);
  }
  holder.replaceChildren(row);
}

function lists() {
  const unfitting = unfit();
  for (const chips of findAll("[data-chips]")) {
    const key = chips.dataset.chips;
    const value = key === "name" ? state.typed.name : key === "marking" && held >= 0 ? undefined : state.chosen[key];
    for (const button of chips.children) button.setAttribute("aria-pressed", String("many" in chips.dataset ? (value ?? []).includes(button.dataset.value) : value === button.dataset.value));
  }
  for (const part of findAll("[data-when]")) part.hidden = part.dataset.when !== state.chosen.shape;
  const height = find('[data-field="height"]');
  const home = find(`[data-when="${state.chosen.shape}"]`);
  if (!home.contains(height)) (state.chosen.shape === "rect" ? home.firstElementChild : home).append(height);
  wallButtons(find('[data-walls="facing.wall"]'), state.chosen["facing.wall"], (wall) => { state.chosen["facing.wall"] = wall.letter; changed(); });
  wallButtons(find('[data-walls="at"]'), pending?.wall, (wall) => { pending = { wall: wall.letter, at: run(wall) / 2, long: run(wall) }; picked = -1; changed(); });
  const here = pending ? `Wall ${pending.wall}, ${said(pending.at)} from its left end` : "Choose the wall first: tap it in the drawing, or above.";
  find("[data-where]").textContent = state.things[picked] && !pending ? "For the next one tap its wall." : walls().length ? here : "No walls yet: give the shape first, then windows, doors and sockets have walls to stand on.";
  for (const button of find("[data-presets]").children) button.disabled = !pending;
  find("[data-presets]").hidden = Boolean(state.things[picked] && !pending);
  find("[data-how-openings]").hidden = state.things.length > 0;
  const thing = state.things[picked];
  find("[data-opening]").hidden = !thing;
  wallButtons(find('[data-walls="of"]'), undefined, (wall) => { state.things[picked].wall = wall.letter; changed(); });
  find("[data-astray]").hidden = !astray(thing) || !walls().length;
  if (thing) {
    const exit = find("[data-exit]");
    exit.hidden = thing.kind !== "door";
    for (const plate of findAll("[data-plate]")) {
      plate.hidden = thing.kind !== "socket";
      plate.setAttribute("aria-pressed", String(thing.sockets === Number(plate.dataset.plate)));
    }
    exit.setAttribute("aria-pressed", String(Boolean(thing.exit)));
    find("[data-opening-name]").textContent = `${thing.id}${thing.wall ? ` on wall ${thing.wall}` : ""}`;
    for (const name of ["width", "sill"]) find(`[data-field="open.${name}"]`).hidden = thing.kind === "socket" || (name === "sill" && thing.kind === "door");
    for (const name of ["offset", "width", "height", "sill"]) {
      const field = find(`[data-key="open.${name}"]`);
      if (field === document.activeElement) continue; // it is told once nobody has typed for a moment
      field.value = thing[name] ?? "";
      if (unfitOf(unfitting, thing, name) || find(`[data-field="open.${name}"] .fault[data-fits]`)) wrong(field);
    }
  }
  find("[data-things]").replaceChildren(...state.things.map((one, at) => {
    const item = make("li");
    const open = make("button", one.wall ? `${one.id}, wall ${one.wall}` : `${one.id}, no wall yet`, { type: "button", class: "linklike" });
    open.addEventListener("click", () => { picked = at; pending = null; changed(); });
    item.append(open, make("span", one.kind === "socket" ? `${one.offset || "?"} from the left` : `${one.width || "?"} by ${one.height || "?"}${one.assumed ? ", common size, not measured" : ""}`, { class: "quiet" }));
    const bad = at === picked ? null : unfitOf(unfitting, one);
    if (bad || astray(one)) item.append(make("p", bad?.words ?? (one.wall ? `There is no wall ${one.wall}: on which wall is it?` : "On which wall?"), { class: "fault" }));
    return item;
  }));
  targets();
  find("[data-marks]").textContent = [state.marks.subject ? `Person ${state.face}.` : "", moved >= 0 ? `The next tap moves ${personSaid(moved)}.` : "", state.others.length ? "Only person 1 is judged." : "", state.marks.camera ? "Camera set." : "", ...crowded(), ...unfitting.filter(({ kind }) => kind === "marks").map(({ id, words }) => `${CALLED[id] ?? id} ${words}.`), held < 0 && moved < 0 && !state.chosen.marking ? "Say what the next tap puts there, or tap a person or a piece to move it." : ""].filter(Boolean).join(" ");
  find("[data-held]").hidden = held < 0;
  find("[data-held-name]").textContent = held < 0 ? "" : `${pieceSaid(state.pieces[held])} chosen: a tap on the drawing moves it`;
  const stood = people().map(({ face }, number) => {
    const item = make("li");
    const choose = make("button", personSaid(number).replace("the ", ""), { type: "button", class: "linklike", "aria-label": `Move ${personSaid(number)}` });
    choose.addEventListener("click", () => { release(); moved = number; changed(); });
    const gone = make("button", "Remove", { type: "button", class: "quiet-button", "aria-label": `Remove ${personSaid(number)}` });
    gone.addEventListener("click", () => { moved = -1; leave(number); changed(); });
    item.append(choose, make("span", number ? `${face}, drawn but not judged` : face ?? "", { class: "quiet" }), gone);
    return item;
  });
  find("[data-pieces]").replaceChildren(...stood, ...state.pieces.map((piece, at) => {
    const item = make("li");
    const choose = make("button", pieceSaid(piece), { type: "button", class: "linklike", "aria-label": `Move or turn the ${pieceSaid(piece)}` });
    choose.addEventListener("click", () => { held = at; changed(); });
    item.append(choose, make("span", [piece.turn ? `turned ${piece.turn}°` : "", piece.recorded ? "" : "common size, not measured"].filter(Boolean).join(", "), { class: "quiet" }));
    const gone = make("button", "Remove", { type: "button", class: "quiet-button", "aria-label": `Remove the ${pieceSaid(piece)}` });
    gone.addEventListener("click", () => { state.pieces.splice(at, 1); release(); changed(); });
    item.append(gone);
    return item;
  }));
  // of four hundred photos those that stand there already stay, and others come some at a time
  const shelf = find("[data-photos]"), as = state.photos.map(({ id }) => `${id} ${sent}`);
  const odd = [...shelf.children].findIndex((item, at) => item.dataset.as !== as[at]);
  for (const item of odd < 0 ? [] : [...shelf.children].slice(odd)) item.remove();
  shelve(shelf, [...state.photos.entries()].slice(shelf.children.length), ([at, photo]) => {
    const item = make("li", "", { "data-as": as[at] });
    const gone = make("button", "Remove", { type: "button", class: "quiet-button", "aria-label": `Remove photo ${at + 1}` });
    gone.addEventListener("click", async () => { state.photos = state.photos.filter((one) => one !== photo); changed(); await drop("files", photo.id); });
    item.append(make("span", `Photo ${at + 1}, ${photo.name}, kept on this phone`, { dir: "auto" }), ...(sent ? [] : [gone]));
    return item;
  });
  find("[data-memos]").replaceChildren(...state.memos.map((memo, at) => {
    const item = make("li");
    const gone = make("button", "Remove", { type: "button", class: "quiet-button", "aria-label": `Remove memo ${at + 1}` });
    gone.addEventListener("click", async () => { state.memos = state.memos.filter((one) => one !== memo); changed(); await drop("files", memo.id); });
    item.append(make("span", `Memo ${at + 1}, ${Math.round(memo.seconds)} s, kept on this phone`), ...(sent ? [] : [gone]));
    return item;
  }));
  const heard = hears().join(", ");
  find("[data-heard]").textContent = !heard ? "" : state.sound ? `Goes with the recording: ${heard}.` : `Kept as heard, not measured: ${heard}.`;
  find("[data-record-said]").textContent = state.sound ? `${Math.round(state.sound.seconds)} s kept on this phone` : find("[data-record-said]").textContent;
  missing(unfitting);
  const doors = state.things.some(({ kind }) => kind === "door");
  find("[data-ways-out]").hidden = !doors;
  find("[data-no-doors]").hidden = doors;
  find("[data-exits]").replaceChildren(...state.things.filter(({ kind }) => kind === "door").map((door) => {
    const button = make("button", `${door.id}${door.wall ? ` wall ${door.wall}` : ""}`, { type: "button", "aria-pressed": String(Boolean(door.exit)) });
    button.addEventListener("click", () => { door.exit = !door.exit; changed(); });
    return button;
  }));
  for (const button of findAll("[data-phrase]")) button.setAttribute("aria-pressed", String((state.typed[button.parentElement.dataset.for] ?? "").split(/;\s*/).includes(button.dataset.phrase)));
  for (const field of findAll("[data-key]")) if (!field.dataset.key.startsWith("open.") && field !== document.activeElement) field.value = state.typed[field.dataset.key] ?? "";
}

// what is tapped and what has a name of its own
const hears = () => [...(state.chosen.conditions ?? []), ...(state.typed.heard ?? "").split(/[,;]/).map((one) => one.trim()).filter(Boolean)];

function targets() {
  const names = ["walls", ...walls().map(({ letter }) => letter), "ceiling", "floor"];
  const row = make("div", "", { class: "chips", role: "group", "aria-label": "Which surface" });
  for (const name of names) {
    const words = { walls: "All walls", ceiling: "Ceiling", floor: "Floor" }[name] ?? `Wall ${name}`;
    const button = make("button", words, { type: "button", "data-target": name, "aria-pressed": String(state.target === name) });
    button.addEventListener("click", () => { state.target = name; changed(); });
    row.append(button);
  }
  find("[data-targets]").replaceChildren(row);
  const of = { ceiling: "ceiling", floor: "floor" }[state.target] ?? "wall";
  for (const option of find("[data-material]").options) option.hidden = option.disabled = Boolean(option.value) && !option.dataset.of.split(" ").includes(of) && option.value !== state.surfaces[state.target]?.material;
  const now = state.surfaces[state.target] ?? {};
  for (const button of findAll("[data-colour]")) button.setAttribute("aria-pressed", String(button.dataset.value === now.called));
  find("[data-material]").value = now.material ?? "";
  find("[data-surfaces]").textContent = Object.entries(state.surfaces).map(([name, one]) => `${name}: ${[one.called, one.material?.replaceAll("_", " ")].filter(Boolean).join(", ")}`).join("; ");
}

function legs() {
  const list = find("[data-legs]");
  list.replaceChildren(...state.legs.map((leg, at) => {
    const item = make("li");
    const label = make("label", LETTERS[at], { for: `leg-${at}` });
    const field = make("input", "", { id: `leg-${at}`, "data-kind": "length", "data-leg": at, inputmode: "none", autocomplete: "off", "aria-label": `Length of wall ${LETTERS[at]}` });
    field.value = leg.typed;
    const turns = make("span", "", { class: "chips" });
    for (const [words, turn] of [["↰ Left", -90], ["Right ↱", 90]]) {
      const button = make("button", words, { type: "button", "aria-pressed": String(leg.turn === turn && leg.turned === true), "aria-label": `Wall ${LETTERS[at]}, then turn ${turn < 0 ? "left" : "right"}` });
      button.addEventListener("pointerdown", (event) => event.preventDefault());
      button.addEventListener("click", () => {
        const again = leg.turned && leg.turn === turn;
        leg.turn = turn;
        leg.turned = true;
        // round again: there is no further wall, unless the turn is tapped once more
        const further = at === state.legs.length - 1 && (again || !comesRound());
        if (further) state.legs.push({ typed: "", turn: 90 });
        legs();
        changed();
        (find(`#leg-${at + 1}`) ?? find('[data-key="height"]')).focus();
      });
      turns.append(button);
    }
    item.append(label, field, turns, make("p", "", { class: "fault", hidden: "" }));
    return item;
  }));
  for (const field of findAll("[data-leg]")) wrong(field); // what was said of a wall stays said
  closing();
}
const comesRound = () => { const found = plan(); return Boolean(found?.whole) && found.off_m < Math.max(0.3, 0.05 * (found.length_m ?? 0)); };
// what was opened for a wall that there is not
function trimmed() {
  while (state.chosen.shape === "walk" && state.legs.length > 3 && !state.legs.at(-1).typed.trim() && comesRound()) state.legs.pop();
  legs();
}
function closing() {
  const holder = find("[data-close]");
  const last = rest();
  holder.replaceChildren();
  if (last === null || state.legs.at(-1).typed) return;
  const button = make("button", `Wall ${LETTERS[state.legs.length - 1]} closes it: ${said(last)}`, { type: "button" });
  button.addEventListener("click", () => {
    state.legs.at(-1).typed = units === "feet" ? `${last.toFixed(4)} m` : String(Number(last.toFixed(4)));
    state.legs.at(-1).turn = 360 - state.legs.slice(0, -1).reduce((sum, { turn }) => sum + turn, 0) === 90 ? 90 : -90;
    state.inferred = LETTERS[state.legs.length - 1];
    legs();
    changed();
  });
  holder.append(button, make("span", " worked out, so nothing checks it", { class: "quiet" }));
}

const openField = ({ dataset: { key } }) => (key?.startsWith("open.") ? key.slice(5) : null);
const MISSING = [
  ["shape", () => !plan(M)?.whole, "No plan: nothing about light, sound or space can be worked out."],
  ["shape", () => !M(state.typed.height), "No ceiling height: reverb and lights overhead stay open."],
  ["facing", () => !state.typed["facing.bearing"], "No facing: when the sun comes in stays unknown."],
  ["openings", () => state.things.some(astray), () => `${state.things.filter(astray).map(({ id }) => id).join(", ")}: on which wall?`],
  ["openings", () => !state.things.some(({ kind }) => kind === "window"), "No window: daylight stays unknown."],
  ["openings", () => !state.things.some(({ kind }) => kind === "socket"), "No socket: which cable reaches stays unknown."],
  ["surfaces", () => !Object.keys(state.surfaces).length, "No surfaces: daylight is a wide range, colour casts and reverb unknown."],
  ["sound", () => !state.sound && !state.recorded.room?.noise?.some(({ laeq_db: level, bands_db: bands }) => level !== undefined || bands), () => (hears().length ? "Heard, but nothing recorded: whether a voice is clean stays unknown." : "No recording: whether a voice is clean stays unknown.")],
  ["power", () => !state.circuits.some(({ breaker }) => breaker), "No breaker: what may be plugged in stays unknown."],
  ["power", () => state.circuits.length > 0 && state.things.some(({ kind, circuit }) => kind === "socket" && !circuit), () => `On no breaker: ${state.things.filter(({ kind, circuit }) => kind === "socket" && !circuit).map(({ id }) => id).join(", ")}. What may be plugged in there stays unknown.`],
  ["access", () => !position(state.typed.position), "No position: no sun and no daylight."],
  ["people", () => !state.contacts.some(({ phone }) => phone), "No phone number: nobody to ring when the door is shut."],
  ["people", () => !state.typed.hazards?.trim(), "No hazards noted: the crew meets them on the day."],
  ["marks", () => !state.marks.subject || !state.marks.camera, "No marks: framing and the light on a face stay unknown."],
];
function missing(unfitting) {
  const wrongs = oddities().map(({ words }) => ["shape", null, words]).concat(unfitting.map(({ kind, id, words }) => [kind === "marks" ? "marks" : "openings", null, `${CALLED[id] ?? `${id}:`} ${words}`]));
  find("[data-missing]").replaceChildren(...[...wrongs, ...MISSING.filter(([, lacks]) => lacks())].map(([step, , words]) => {
    const item = make("li");
    const button = make("button", typeof words === "function" ? words() : words, { type: "button", class: "linklike" });
    button.addEventListener("click", () => go(step));
    item.append(button);
    return item;
  }));
}

// -- steps and keys

function go(step) {
  if (state.step === "shape") trimmed();
  if (onRoom && state.step !== step) save(true);
  state.step = step;
  root.dataset.now = step;
  held = moved = -1;
  if (step === "power") rows(); // sockets were added since
  for (const section of findAll("[data-step]")) section.hidden = section.dataset.step !== step;
  for (const button of find("[data-steps]").children) {
    if (button.dataset.to === step) { button.setAttribute("aria-current", "step"); find("[data-steps]").scrollLeft = button.offsetLeft - 60; } else button.removeAttribute("aria-current");
  }
  const names = Object.keys(STEPS);
  const next = names[names.indexOf(step) + 1];
  const onward = find("[data-onward]");
  onward.hidden = !next;
  onward.textContent = next ? `Next: ${STEPS[next]}` : "";
  const [first] = step === "openings" && !state.things.length ? walls() : [];
  pending = first ? { wall: first.letter, at: run(first) / 2, long: run(first) } : null;
  shut();
  changed();
  scrollTo(0, 0);
}
for (const button of findAll("[data-go]")) button.addEventListener("click", () => go(button.dataset.go));
for (const [step, words] of Object.entries(STEPS)) {
  const button = make("button", words, { type: "button", "data-to": step });
  button.addEventListener("click", () => go(step));
  find("[data-steps]").append(button);
}
find("[data-onward]").addEventListener("click", () => { const names = Object.keys(STEPS); go(names[names.indexOf(state.step) + 1]); });

const KEYS = units === "feet"
  ? ["7", "8", "9", "⌫", "4", "5", "6", "'", "1", "2", "3", '"', "0", "½", "¼", "⅛", "+", " - ", "m", "Next"]
  : ["7", "8", "9", "⌫", "4", "5", "6", "+", "1", "2", "3", "-", "0", ".", "m", "Next"];
for (const key of KEYS) {
  const button = make("button", key.trim(), { type: "button", "data-pad": key.trim(), "aria-label": { "⌫": "Delete", "-": "minus", "+": "plus" }[key.trim()] ?? key });
  button.addEventListener("click", () => {
    if (!pads) return;
    if (key === "Next") { onto(); return; }
    const [from, to] = [pads.selectionStart, pads.selectionEnd];
    if (key === "⌫") pads.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
    else pads.setRangeText(key, from, to, "end");
    pads.dispatchEvent(new Event("input", { bubbles: true }));
  });
  find("[data-keypad]").append(button);
}
find(".walk-dock").addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the focus
function onto() {
  const fields = findAll(`[data-step="${state.step}"] input[inputmode=none]`).filter((field) => field.offsetParent);
  const next = fields[fields.indexOf(pads) + 1];
  if (next) next.focus(); else { pads.blur(); shut(); }
}
function shut() { pads = null; find("[data-keypad]").hidden = true; clearance(); }
// how much of the screen bar, keypad and drawing cover: what is scrolled to stays clear of them
function clearance() {
  const drawing = find(".walk-plan");
  const above = getComputedStyle(drawing).position === "sticky" ? drawing.offsetHeight : 0;
  for (const [name, high] of [["--below", find(".walk-dock").offsetHeight], ["--above", above]]) document.documentElement.style.setProperty(name, `${high}px`);
}
for (const part of [".walk-dock", ".walk-plan"]) new ResizeObserver(clearance).observe(find(part));
function inSight(field) {
  clearance();
  const holder = field.closest("[data-field], .legs li");
  for (const part of [holder, holder?.querySelector(".fault:not([hidden])"), field]) part?.scrollIntoView({ block: "nearest" });
}
root.addEventListener("focusin", (event) => {
  if (event.target.matches("input[inputmode=none]")) { pads = event.target; find("[data-keypad]").hidden = false; inSight(pads); }
  else if (event.target.matches("input, textarea, select")) { shut(); inSight(event.target); } // a button keeps it: nothing may move under the thumb
});
root.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("input[inputmode=none]")) { event.preventDefault(); onto(); } });

// -- what is typed and chosen

const limitsOf = ({ dataset: { key, leg, rows: list, name } }) => LIMITS[key ?? (leg ? "leg" : `${list}.${name}`)] ?? [];
function wrong(field) {
  const fault = field.closest("[data-field], li")?.querySelector(".fault");
  if (!fault) return;
  const { kind } = field.dataset;
  const text = field.value.trim();
  const found = kind !== "position" ? judged(text, { reads: kind, limits: limitsOf(field), runs: true, units, words: WORDS }) : text && !position(text) ? { words: "Give latitude and longitude, such as 51.45, -2.58", offers: [] } : null;
  const bad = found || !openField(field) ? null : unfitOf(unfit(), state.things[picked], openField(field));
  if (bad) fault.dataset.fits = ""; else delete fault.dataset.fits; // it is told, and held up by nothing
  const shows = found ?? (bad && { words: bad.words, offers: [] });
  say(fault, field, shows);
  if (shows && field === document.activeElement) inSight(field);
}
let soon = 0; // nobody is told that 1. is no number on the way to 1.5
root.addEventListener("focusout", ({ target }) => { if (target.dataset?.kind) wrong(target); });
root.addEventListener("input", (event) => {
  const field = event.target;
  if (field.dataset.leg) { state.legs[field.dataset.leg].typed = field.value; if (state.legs[field.dataset.leg] === state.legs.at(-1)) state.inferred = null; closing(); }
  else if (field.dataset.key?.startsWith("open.")) { const thing = state.things[picked]; if (thing) { thing[field.dataset.key.slice(5)] = field.value; thing.assumed = false; } }
  else if (field.dataset.rows) { state[field.dataset.rows][field.dataset.at][field.dataset.name] = field.value; }
  else if (field.dataset.key) { state.typed[field.dataset.key] = field.value; if (field.dataset.key === "facing.bearing") state.compass = null; }
  else return;
  clearTimeout(soon);
  if (field.closest("[data-field], li")?.querySelector(".fault:not([hidden])")) wrong(field);
  else soon = setTimeout(() => wrong(field), 500);
  changed();
});
root.addEventListener("click", (event) => {
  const button = event.target.closest("[data-chips] button");
  if (!button) return;
  const chips = button.closest("[data-chips]");
  const { chips: key } = chips.dataset;
  const { value } = button.dataset;
  if (key === "name") state.typed.name = value;
  else if ("many" in chips.dataset) { const now = state.chosen[key] ?? [];
    const running = (one) => one.endsWith(" on");
    state.chosen[key] = now.includes(value) ? now.filter((one) => one !== value) : [...now.filter((one) => !(value === "all off" ? running(one) : running(value) && one === "all off")), value];
  }
  else state.chosen[key] = state.chosen[key] === value && !["shape", "marking", "facing.north"].includes(key) ? undefined : value;
  if (key === "marking") held = moved = -1;
  changed();
});
// the last tap wins: what is said of all walls is said of each
function surface(given) {
  if (state.target === "walls") for (const name of Object.keys(state.surfaces)) if (!["walls", "ceiling", "floor"].includes(name)) for (const key of Object.keys(given)) delete state.surfaces[name][key];
  state.surfaces[state.target] = { ...state.surfaces[state.target], ...given };
  changed();
}
for (const button of findAll("[data-colour]")) button.addEventListener("click", () => surface({ called: button.dataset.value, colour: button.dataset.colour }));
find("[data-material]").addEventListener("change", (event) => surface({ material: event.target.value || undefined }));

// -- what there are several of: circuits with what hangs on them, people

const ROWS = {
  circuits: { fields: [["breaker", "Breaker, A", "number"], ["volts", "Volts", "number"], ["load", "Already on it, W", "number"]], called: (one) => `Circuit ${one.id}` },
  contacts: { fields: [["name", "Name", "text"], ["role", "What they do", "text"], ["phone", "Phone", "tel"]], called: (one, at) => one.name || `Contact ${at + 1}` },
};
const BREAKERS = country === "US" || country === "CA" ? [[15, 120], [20, 120]] : country === "GB" ? [[32, 230], [16, 230], [6, 230]] : [[16, 230], [10, 230], [20, 230]];
const PLUG = country === "US" ? "outlet" : "socket";
function rows() {
  for (const [kind, { fields, called }] of Object.entries(ROWS)) find(`[data-list="${kind}"]`).replaceChildren(...state[kind].map((one, at) => {
    const item = make("li");
    const three = make("div", "", kind === "circuits" ? { class: "three" } : {});
    for (const [name, words, sort] of fields) {
      const id = `w-${kind}-${at}-${name}`;
      const holder = make("div", "", { class: "field", "data-field": `${kind}.${name}` });
      const field = make("input", "", { id, "data-rows": kind, "data-at": at, "data-name": name, "data-kind": sort, autocomplete: "off", ...(sort === "number" ? { inputmode: "none" } : { type: sort }) });
      field.value = one[name] ?? "";
      const box = make("div", "", { class: "box" });
      box.append(field);
      holder.append(make("label", words, { for: id }), box, make("p", "", { class: "fault", hidden: "" }));
      three.append(holder);
    }
    const parts = [];
    const group = (words) => { parts.push(make("div", "", { class: "chips", role: "group", "aria-label": words })); return parts.at(-1); };
    const chip = (holder, words, pressed, deed) => {
      const button = make("button", words, { type: "button", "aria-pressed": String(pressed) });
      const all = () => [...find(`[data-list="${kind}"]`).children[at].querySelectorAll(".chips button")];
      button.addEventListener("click", () => { const turn = all().indexOf(button); deed(); for (const thing of state.things) delete thing.alone; rows(); changed(); all()[turn]?.focus(); });
      holder.append(button);
    };
    if (kind === "circuits") {
      const known = group(`How ${called(one, at)} is known`);
      for (const [value, words] of [["yes", "Traced"], ["no", "Supposed"]]) chip(known, words, one.traced === value, () => { one.traced = one.traced === value ? undefined : value; });
      const sockets = state.things.filter((thing) => thing.kind === "socket");
      const on = sockets.filter(({ circuit }) => circuit === one.id);
      parts.push(make("p", `Which ${PLUG}s hang on it`, { class: "title-line" }));
      const hung = group(`Which ${PLUG}s hang on ${one.id}`);
      for (const socket of sockets) chip(hung, `${socket.id}${socket.wall ? ` wall ${socket.wall}` : ""}`, on.includes(socket), () => { socket.circuit = on.includes(socket) ? undefined : one.id; });
      if (sockets.length > 1) chip(hung, "All of them", on.length === sockets.length, () => { for (const socket of sockets) socket.circuit = on.length < sockets.length ? one.id : undefined; });
      parts.push(make("p", !sockets.length ? `No ${PLUG} yet: tap them into the step Openings.` : on.some(({ alone }) => alone) ? `${on.length} of ${sockets.length} put on it, for it is the only breaker here: tap off what is not.` : `${on.length} of ${sockets.length} hang on it.`, { class: "quiet" }));
    }
    const gone = make("button", "Remove", { type: "button", class: "quiet-button", "aria-label": `Remove: ${called(one, at)}` });
    gone.addEventListener("click", () => {
      state[kind].splice(at, 1);
      for (const thing of state.things) if (kind === "circuits" && thing.circuit === one.id) thing.circuit = undefined;
      rows();
      changed();
    });
    item.append(make("p", called(one, at), { class: "title-line", dir: "auto" }), three, ...parts, gone);
    return item;
  }));
}
function added(kind, row) {
  state[kind].push(row);
  rows();
  changed();
  const item = find(`[data-list="${kind}"]`).lastElementChild;
  // a breaker that was offered is whole: the keypad would cover what hangs on it
  if (row.breaker) item.scrollIntoView({ block: "nearest" }); else item.querySelector("input").focus();
}
for (const [breaker, volts] of [...BREAKERS, []]) {
  const button = make("button", breaker ? `${breaker} A` : "Another", { type: "button", "aria-label": breaker ? `Add a circuit of ${breaker} A` : "Add another circuit" });
  button.addEventListener("click", () => {
    const row = { id: free("K"), breaker: String(breaker ?? ""), volts: String(volts ?? ""), load: "" };
    const loose = state.things.filter(({ kind, circuit }) => kind === "socket" && !circuit);
    if (!state.circuits.length && loose.length) {
      // one breaker: what else would they hang on? Supposed, and said to be
      row.traced = "no";
      for (const socket of loose) Object.assign(socket, { circuit: row.id, alone: true });
    } else for (const socket of state.things.filter(({ alone }) => alone)) Object.assign(socket, { circuit: undefined, alone: undefined });
    added("circuits", row);
  });
  find("[data-breakers]").append(button);
}
find("[data-add-contact]").addEventListener("click", () => added("contacts", { name: "", role: "", phone: "" }));

// phrases for a text: a tick puts one in or takes it out, and the text stays whoever's typed it is
for (const button of findAll("[data-phrase]")) button.addEventListener("click", () => {
  const { for: key } = button.parentElement.dataset;
  const parts = (state.typed[key] ?? "").split(/;\s*/).filter(Boolean);
  const { phrase } = button.dataset;
  state.typed[key] = (parts.includes(phrase) ? parts.filter((part) => part !== phrase) : [...parts, phrase]).join("; ");
  changed();
});

// -- openings and sockets

function add(kind, sizes, where, more = {}) {
  const [width, height, sill] = sizes;
  const from = Math.max(0, Math.min(where.long - width, where.at - width / 2));
  const step = units === "feet" ? FOOT / 12 : 0.05;
  const offset = more.exact ? from : Math.min(Math.round(from / step) * step, Math.max(0, where.long - width));
  state.things.push({ id: free({ window: "W", door: "D", socket: "P" }[kind]), kind, wall: where.wall, offset: shown(offset), width: width ? shown(width) : "", height: shown(height), sill: kind === "window" ? (sill ? shown(sill) : "0") : "", assumed: true, ...more.of });
  const [only, other] = state.circuits;
  if (kind === "socket" && only && !other && only.traced !== "yes") Object.assign(state.things.at(-1), { circuit: only.id, alone: true });
  picked = state.things.length - 1;
}
// on no wall, or on one that the shape has no more
function astray(thing) { return Boolean(thing) && (!thing.wall || (walls().length > 2 && !walls().some(({ letter }) => letter === thing.wall))); }
const sizesOf = (thing) => [M(thing.width) || 0, M(thing.height) || 0, M(thing.sill) || 0];
function preset(words, deed) {
  const button = make("button", words, { type: "button" });
  button.addEventListener("click", () => { deed(); pending = null; changed(); });
  find("[data-presets]").append(button);
}
for (const [kind, words, sizes] of PRESETS) preset(words, () => add(kind, sizes, pending));
preset("Same as the last", () => {
  const last = state.things.at(-1);
  if (last) add(last.kind, sizesOf(last), pending, { of: { assumed: last.assumed } });
});
for (const button of findAll("[data-evenly]")) button.addEventListener("click", () => {
  const thing = state.things[picked];
  const wall = walls().find(({ letter }) => letter === thing?.wall);
  if (!wall) return;
  const count = Number(button.dataset.evenly);
  state.things.splice(picked, 1);
  for (let at = 0; at < count; at += 1) add(thing.kind, sizesOf(thing), { wall: wall.letter, long: run(wall), at: (run(wall) * (at + 0.5)) / count }, { exact: true, of: { assumed: thing.assumed, sockets: thing.sockets, exit: thing.exit } });
  changed();
});
for (const plate of findAll("[data-plate]")) plate.addEventListener("click", () => {
  const many = Number(plate.dataset.plate), thing = state.things[picked];
  thing.sockets = thing.sockets === many ? undefined : many;
  changed();
});
find("[data-exit]").addEventListener("click", () => { state.things[picked].exit = !state.things[picked].exit; changed(); });
find("[data-gone]").addEventListener("click", () => { state.things.splice(picked, 1); picked = -1; changed(); });

// -- the phone's own senses

find("[data-compass]").addEventListener("click", async () => {
  const tell = (words) => { find("[data-compass-said]").textContent = words; };
  if (!("DeviceOrientationEvent" in window) || !isSecureContext) { tell("No compass here: it needs HTTPS. Type the bearing."); return; }
  try {
    if (DeviceOrientationEvent.requestPermission && (await DeviceOrientationEvent.requestPermission()) !== "granted") { tell("Not allowed. Type the bearing."); return; }
  } catch { tell("Not allowed. Type the bearing."); return; }
  const heard = [];
  let stated = 0;
  const hear = (event) => {
    if (event.webkitCompassHeading !== undefined) { heard.push(event.webkitCompassHeading); stated = Math.max(stated, event.webkitCompassAccuracy ?? 0); }
    else if (event.type === "deviceorientationabsolute" && event.alpha !== null) heard.push(heading(event.alpha, event.beta ?? 0, event.gamma ?? 0));
  };
  const kinds = ["deviceorientation", "deviceorientationabsolute"];
  for (const kind of kinds) addEventListener(kind, hear);
  tell("Hold still …");
  setTimeout(() => {
    for (const kind of kinds) removeEventListener(kind, hear);
    if (!heard.length) { tell("This phone says nothing. Type the bearing."); return; }
    const { bearing: mean, spread } = meanBearing(heard);
    if (spread > 25) { tell("It swings too much: steel or a cable is near. Step away and read again."); return; }
    state.typed["facing.bearing"] = String(Math.round(mean) % 360);
    state.chosen["facing.north"] = "magnetic";
    state.compass = { accuracy: Math.max(15, stated, spread) };
    tell(`${Math.round(mean) % 360}°, magnetic, the mean of ${heard.length} readings; give or take ${Math.round(state.compass.accuracy)}°`);
    changed();
  }, 2000);
});

for (const button of findAll("[data-winds] button")) button.addEventListener("click", () => { state.typed["facing.bearing"] = button.textContent; state.compass = null; changed(); wrong(find('[data-key="facing.bearing"]')); });

find("[data-gps]").addEventListener("click", () => {
  const tell = (words) => { find("[data-gps-said]").textContent = words; };
  if (!navigator.geolocation || !isSecureContext) { tell("Not here: it needs HTTPS. Paste a position."); return; }
  tell("Looking …");
  navigator.geolocation.getCurrentPosition(({ coords }) => {
    state.typed.position = `${coords.latitude.toFixed(6)}, ${coords.longitude.toFixed(6)}`;
    tell(`Found, give or take ${Math.round(coords.accuracy)} m`);
    changed();
  }, () => tell("Not allowed, or no sky here. Paste a position."), { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 });
});

// What is wrong with a photo as far as its first bytes tell; the rest the server says.
async function noPhoto(file) {
  if (!file.size) return "is empty";
  const { most, accepted } = find("#w-photo").dataset;
  if (file.size > Number(most)) return `has ${(file.size / 1e6).toFixed(0)} MB, over the limit of ${(most / 1e6).toFixed(0)} MB`;
  const start = String.fromCharCode(...new Uint8Array(await file.slice(0, 12).arrayBuffer()));
  const film = /^[^]{4}ftyp(avi[fs]|crx |iso|mp4|M4|qt|3g|dash)/;
  return /^(\xff\xd8\xff|\x89PNG\r\n\x1a\n|RIFF[^]{4}WEBP|II\*\0|MM\0\*|[^]{4}ftyp)/.test(start) && !film.test(start) ? "" : `is no photo that can be read here (${accepted})`;
}

find("#w-photo").addEventListener("change", async (event) => {
  const files = [...event.target.files];
  const faults = [];
  for (const file of files) {
    const id = uuid();
    try {
      const fault = await noPhoto(file);
      if (fault) { faults.push(`${file.name} ${fault}, and is not kept.`); continue; }
      // read here and now: what is changed or deleted afterwards is kept as it was taken
      const blob = new Blob([await file.arrayBuffer()], { type: file.type });
      await put("files", { id, at: Date.now(), blob, name: file.name });
      state.photos.push({ id, name: file.name });
    } catch (error) {
      if (error.name === "NotReadableError" || error.name === "NotFoundError") faults.push(`${file.name} cannot be read: it changed or is gone. Take it again.`);
      else faults.push(`No room left on this phone for ${file.name}. Send what is here first, then take it again.`);
    }
  }
  event.target.value = "";
  find("[data-photo-fault]").textContent = faults.join(" ");
  find("[data-photo-fault]").hidden = !faults.length;
  changed();
});

find("[data-record]").addEventListener("click", async (event) => {
  const button = event.currentTarget;
  const tell = (words) => { find("[data-record-said]").textContent = words; };
  button.disabled = true;
  const found = await listened({
    seconds: Number(button.dataset.record),
    raw: true,
    level: root.dataset.level,
    tell: (words) => tell(words.endsWith(" s") ? words : `${words} Tap below what you hear: that is kept without it.`),
    heard: (data) => { find("#w-level").value = loudness(data); },
  });
  button.disabled = false;
  if (!found) return;
  const id = uuid();
  try {
    await put("files", { id, at: Date.now(), blob: found.blob, name: "room.wav" });
    if (state.sound) await drop("files", state.sound.id);
    state.sound = { id, seconds: found.seconds, at: new Date().toISOString() };
    tell("");
    changed();
  } catch { tell("No room left on this phone for the recording."); }
});

let talked = null; // ends the memo that is being spoken
find("[data-memo]").addEventListener("click", async (event) => {
  const button = event.currentTarget;
  if (talked) { talked(); return; }
  const tell = (words) => { find("[data-memo-said]").textContent = words; };
  button.textContent = "Stop";
  const found = await listened({ seconds: MEMO_SECONDS, level: root.dataset.level, raw: false, tell, stop: (done) => { talked = done; } });
  talked = null;
  button.textContent = "Speak a memo";
  if (!found) return;
  const id = uuid();
  try {
    await put("files", { id, at: Date.now(), blob: found.blob, name: "memo.wav" });
    state.memos.push({ id, seconds: found.seconds });
    tell("");
    changed();
  } catch { tell("No room left on this phone for the memo. Send what is here first."); }
});

// -- the room sheet

const number = (text) => { const value = Number((text ?? "").trim().replace(",", ".")); return (text ?? "").trim() && Number.isFinite(value) ? value : undefined; };
const metres = (text, key) => { const value = length(text, units, { most: top(key) }); return value === null || Number.isNaN(value) ? undefined : Number(value.toFixed(4)); };
const bare = (record) => { const kept = Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)); return Object.keys(kept).length ? kept : undefined; };
const top = (key) => LIMITS[key]?.find(([end]) => end === "le")?.[1]; // over ground 540 is 540 m
const some = (list) => (list.length ? list : undefined);

const yesNo = { yes: true, no: false };

// All that the walk says, of room, marks and place.
function record() {
  const { typed, chosen, things } = state;
  const found = plan(M);
  const of = (kind) => things.filter((thing) => thing.kind === kind);
  const surfaces = {};
  const letters = walls().map((wall) => wall.letter);
  const { walls: every, ...each } = state.surfaces;
  for (const name of new Set([...(every ? letters : []), ...Object.keys(each)])) {
    const one = letters.includes(name) ? { ...every, ...each[name] } : each[name];
    const made = bare({ colour: one.colour && { srgb: one.colour }, material: one.material });
    if (made) surfaces[name] = made;
  }
  const looks = bearing(typed["facing.bearing"]);
  const facing = state.facing?.as === JSON.stringify([typed["facing.bearing"], chosen["facing.wall"], chosen["facing.north"]])
    ? state.facing.recorded
    : !looks ? undefined : bare({ wall: chosen["facing.wall"], bearing_deg: looks.degrees, north: chosen["facing.north"], accuracy_deg: state.compass?.accuracy ?? looks.doubt, read_on: state.at.slice(0, 10) });
  const lux = number(typed.lux);
  if (lux !== undefined) state.reading ??= free("R");
  // a recording takes it along; without one it is a reading that has no level
  const heard = state.sound ? [] : hears();
  if (heard.length) state.heard ??= { id: free("N"), at: new Date().toISOString() };
  const room = bare({
    name: typed.name?.trim() || undefined,
    setting: state.chosen.setting,
    width_m: chosen.shape === "rect" ? metres(typed.width) : undefined,
    length_m: chosen.shape === "rect" ? metres(typed.depth) : undefined,
    plan_m: chosen.shape === "walk" && found?.whole ? found.corners : undefined,
    height_m: metres(typed.height),
    facing,
    way_in: bare({ steps: number(typed["way.steps"]), lift: yesNo[chosen["way.lift"]], door_width_m: metres(typed["way.door"]), carry_m: metres(typed["way.carry"], "way.carry") }),
    surfaces: bare(surfaces),
    windows: some(of("window").map((one) => bare({ id: one.id, wall: one.wall, offset_m: metres(one.offset), width_m: metres(one.width), height_m: metres(one.height), sill_m: metres(one.sill) }))),
    doors: some(of("door").map((one) => bare({ id: one.id, wall: one.wall, offset_m: metres(one.offset), width_m: metres(one.width), height_m: metres(one.height), keep_free: one.exit || undefined }))),
    furniture: some(state.pieces.map(({ id, called, recorded, at, size: [width_m, depth_m, height_m], turn }) => bare({ id, at_m: at, width_m, depth_m, height_m, turn_deg: turn || undefined, ...(!recorded && HUNG[called] && { clear_below_m: HUNG[called], mirrors: true }) }))),
    outlets: some(of("socket").map((one) => bare({ id: one.id, wall: one.wall, offset_m: metres(one.offset), height_m: metres(one.height), circuit: one.circuit, sockets: one.sockets }))),
    circuits: some(state.circuits.map((one) => bare({ id: one.id, volts: number(one.volts), breaker_a: number(one.breaker), other_load_w: number(one.load), verified: yesNo[one.traced] }))),
    noise: heard.length ? [{ id: state.heard.id, taken_at: state.heard.at, conditions: `heard, not measured: ${heard.join(", ")}` }] : undefined,
    readings: lux === undefined ? undefined : [bare({ id: state.reading, mark: "subject", lux, sky: chosen.sky, plane: chosen.plane, how: chosen.lux_how, taken_at: state.at })],
  });
  const highOf = (face) => ({ seated: 1.2, standing: 1.6 })[face] ?? 1.2;
  const marks = bare({ subject: state.marks.subject && [...state.marks.subject, state.high.subject ?? highOf(state.face)], camera: state.marks.camera && [...state.marks.camera, state.high.camera ?? 1.2], others: some(state.others.map(({ at: [x, y], high, face }) => [x, y, high ?? highOf(face)])) });
  const at = position(typed.position);
  const word = (key) => typed[key]?.trim() || undefined;
  const people = state.contacts.filter(({ name, role, phone }) => [name, role, phone].some((text) => text?.trim()));
  const here = bare({
    latitude_deg: at?.[0],
    longitude_deg: at?.[1],
    contacts: some(people.map((one) => bare({ ...one.recorded, name: one.name.trim() || one.role.trim() || one.phone.trim(), role: one.role.trim() || undefined, phone: one.phone.trim() || undefined }))),
    load_in: word("place.load_in"),
    hazards: word("hazards"),
    phone_signal: chosen["place.signal"],
    emergency_care: word("place.care"),
  });
  return bare({ room, marks, place: here }) ?? {};
}

// Who measured what of it, of what is new since `was`.
function measures({ room = {} }, { room: was = {} }) {
  const measured = [];
  const { how } = state.chosen;
  const measure = (path, by_what, accuracy) => measured.push(bare({ path, by: by || undefined, at: state.at, how: by_what, accuracy }));
  const off = plan(M)?.off_m ?? 0;
  for (const name of ["width_m", "length_m", "plan_m", "height_m"]) if (room[name] !== undefined && how && !same(room[name], was[name])) measure(name, how, name === "plan_m" && off > 0.0005 ? `walls miss by ${off.toFixed(3)} m, spread` : undefined);
  if (room.facing && state.compass && !same(room.facing, was.facing)) measure("facing.bearing_deg", "compass");
  for (const [kind, list] of [["windows", state.things], ["doors", state.things], ["outlets", state.things], ["furniture", state.pieces]])
    for (const part of room[kind] ?? []) {
      const before = was[kind]?.find(({ id }) => id === part.id);
      const assumed = kind === "furniture" ? !before : list.find(({ id }) => id === part.id).assumed;
      for (const name of ["width_m", "depth_m", "height_m", ...(assumed ? [] : ["sill_m", "offset_m"])]) {
        if (part[name] === undefined || same(part[name], before?.[name])) continue;
        if (assumed) measure(`${kind}.${part.id}.${name}`, "guess", "a common size, not measured");
        else if (before) measure(`${kind}.${part.id}.${name}`, how);
      }
    }
  for (const [name, one] of Object.entries(room.surfaces ?? {})) if (one.colour && !same(one.colour, was.surfaces?.[name]?.colour)) measure(`surfaces.${name}.colour`, "name");
  return measured;
}

function sheet(said) {
  const measured = measures(said, {});
  return { schema: "room-sheet/1", room: said.room, ...(said.marks && { marks: said.marks }), ...(measured.length && { extra: { measurements: measured } }) };
}

// -- sent once, in one step, and what became of it

let sent = false;
let led = null; // the room's page, once there is one
const documents = (base, yours, measured) => ["walk", JSON.stringify({ base, yours: measured?.length ? { ...yours, measured } : yours })];
const entry = (more, turn) => ({ at: Date.now() + turn, page: location.pathname, state: "waiting", walk: state.once, ...more });

// What cannot be sent as it stands is shown at its place; quietly: it waits where it is.
function faulty(quietly) {
  const thing = state.things.findIndex((one) => ["offset", "width", "height", "sill"].some((name) => judged(one[name], { reads: "length", limits: LIMITS[`open.${name}`], runs: true, units, words: WORDS })));
  if (thing >= 0) { if (!quietly) { go("openings"); picked = thing; changed(); findAll("[data-opening] input").forEach(wrong); } return true; }
  const unclosed = state.chosen.shape === "walk" && state.legs.some(({ typed }) => typed.trim()) && !plan(M)?.whole;
  const round = find('[data-fault="plan_m"]');
  if (!quietly || !unclosed) round.hidden = !unclosed;
  round.textContent = "The walls do not come round to where they began: mend a length or a turn, or clear the lengths to leave the plan out";
  if (unclosed) { if (!quietly) go("shape"); return true; }
  const fields = findAll("[data-key], [data-leg], [data-rows]");
  for (const field of fields) wrong(field);
  const bad = fields.find((field) => field.closest("[data-field], li")?.querySelector(".fault:not([hidden]):not([data-fits])"));
  if (bad && !quietly) { go(bad.closest("[data-step]").dataset.step); bad.focus(); inSight(bad); }
  return Boolean(bad);
}

// Photos, recording and note for the outbox, to a room's address or to one that the room will lead to.
function beside(files, key, follows) {
  const called = state.typed.name?.trim() || "the room";
  const found = state.photos.flatMap((photo, turn) => {
    const file = files.get(photo.id);
    return file ? [entry({ ...follows, once: photo.id, title: `Photo ${turn + 1} of ${called}`, action: `/room/${key}/photos`, accept: "application/json", pairs: [["csrf_token", token], ["photos", new File([file.blob], file.name, { type: file.blob.type })]] }, turn + 1)] : [];
  });
  const heard = state.sound && files.get(state.sound.id);
  if (heard) found.push(entry({ ...follows, once: heard.id, title: `Recording of ${called}`, action: `/rooms/${key}/recordings`, accept: "application/json", pairs: [["csrf_token", token], ["purpose", "room"], ["conditions", hears().join(", ")], ["recordings", new File([heard.blob], "room.wav", { type: "audio/wav" })]] }, 900));
  for (const [turn, { id }] of state.memos.entries()) {
    const spoken = files.get(id);
    if (spoken) found.push(entry({ ...follows, once: id, title: `Memo ${turn + 1} on ${called}`, action: `/rooms/${key}/recordings`, accept: "application/json", pairs: [["csrf_token", token], ["purpose", "memo"], ["recordings", new File([spoken.blob], "memo.wav", { type: "audio/wav" })]] }, 902 + turn));
  }
  if (state.typed.note?.trim()) found.push(entry({ ...follows, once: (state.noteOnce ??= uuid()), title: `Note on ${called}`, action: `/room/${key}/notes/new`, pairs: [["csrf_token", token], ["text", state.typed.note], ["audience", "crew"]] }, 901));
  return found;
}
const filed = () => [...state.photos, ...state.memos, ...(state.sound ? [state.sound] : [])];
const filesKept = async () => new Map((await all("files")).map((file) => [file.id, file]));
const full = () => { find("[data-kept]").textContent = "No room left on this phone to keep it twice: remove other things, then send."; };

find("[data-send]").addEventListener("click", async () => {
  if (onRoom) { await save(false); return; }
  if (sent || faulty(false)) return;
  if (!state.typed.name?.trim()) { go("photos"); const fault = find('[data-field="name"] .fault'); fault.hidden = false; fault.textContent = "A name is needed: rooms are told apart by it"; return; }
  sent = true;
  const files = await filesKept();
  const said = record();
  const base = { place: state.recorded.place ?? {} };
  const yours = { place: patched(base.place, state.base.place, said.place) };
  const entries = [
    entry({ once: state.once, title: state.typed.name, draft: draftKey(), action: `/locations/${place}/walk`, base, yours, pairs: [["csrf_token", token], ["sheet", JSON.stringify(sheet(said))], documents(base, yours)] }, 0),
    ...beside(files, "ROOM", { after: state.once }),
  ];
  try {
    await together(["outbox", "drafts"], (kind) => {
      each(kind("outbox"), entries);
      kind("drafts").put({ key: draftKey(), at: Date.now(), walk: { ...state, sent: true } });
    });
  } catch {
    sent = false;
    full();
    return;
  }
  find("[data-send]").disabled = true;
  lists();
  await states();
  await flush();
  await states();
});

// -- in a room that is recorded: each step sends what it changed, one after another

const changes = async () => (await all("outbox")).filter((one) => one.walk === state.once && one.yours).sort((a, b) => a.at - b.at);
const clean = () => same(record(), state.base) && !state.photos.length && !state.memos.length && !state.sound && !state.typed.note?.trim();
let saving = Promise.resolve();
function save(quietly) {
  saving = saving.then(() => saved(quietly)).catch(() => {});
  return saving;
}
async function saved(quietly) {
  if (faulty(quietly)) return;
  const [files, [last], walked] = [await filesKept(), (await changes()).reverse(), await one("drafts", walkedKey)];
  const now = record();
  const entries = beside(files, onRoom, {});
  if (!same(now, state.base)) {
    // on top of what waits, else of what the server said last
    const base = last?.yours ?? (walked?.seen > state.seen ? walked.recorded : state.recorded);
    const yours = patched(base, state.base, now);
    entries.unshift(entry({ once: uuid(), title: `Changes of ${state.typed.name?.trim() || "the room"}`, action: `/rooms/${onRoom}/walk`, after: last?.once, keeps: walkedKey, seen: state.seen, base, yours, was: state.base, pairs: [["csrf_token", token], documents(base, yours, measures(now, state.base))] }, 0));
  }
  if (!entries.length) { if (!quietly) await states(); return; }
  const gone = filed().map(({ id }) => id);
  const { note } = state.typed;
  // what is queued is no longer the draft's to send: in one step, or a tab killed between would lose it or send it twice
  const queued = (walk) => ({ base: now, photos: walk.photos.filter(({ id }) => !gone.includes(id)), memos: walk.memos.filter(({ id }) => !gone.includes(id)), sound: gone.includes(walk.sound?.id) ? null : walk.sound, noteOnce: undefined, typed: { ...walk.typed, note: walk.typed.note === note ? "" : walk.typed.note, ...(gone.includes(walk.sound?.id) && { heard: "" }) }, chosen: gone.includes(walk.sound?.id) ? { ...walk.chosen, conditions: undefined } : walk.chosen });
  try {
    await together(["outbox", "drafts", "files"], (kind) => {
      each(kind("outbox"), entries);
      for (const id of gone) kind("files").delete(id);
      kind("drafts").put({ key: draftKey(), at: Date.now(), walk: { ...state, ...queued(state) } });
    });
  } catch { full(); return; }
  Object.assign(state, queued(state));
  lists();
  await states();
  await flush();
  await states();
}

// A photo, recording or note that the server will not take: the room itself need not wait for it.
const refusedBeside = (one) => one.state === "refused" && one.once !== state.once && !one.yours;

// Whether all of it is on the server; then the page shows how the room stands there, others' changes with it.
async function settled() {
  if ((await all("outbox")).some((one) => one.walk === state.once && !refusedBeside(one)) || !clean()) return false;
  const walked = await one("drafts", walkedKey);
  if (walked?.seen > state.seen) {
    page = { recorded: walked.recorded, seen: walked.seen };
    const { step, once, at } = state;
    begin();
    Object.assign(state, { step, once, at });
    legs();
    rows();
    draw();
    lists();
    await put("drafts", { key: draftKey(), at: Date.now(), walk: state });
  }
  find("[data-kept]").textContent = "On the server";
  return true;
}

const BUT = "On the server, but not all was accepted";
async function states() {
  const waiting = (await all("outbox")).filter((one) => one.walk === state.once).sort((a, b) => a.at - b.at);
  const room = onRoom ? waiting.find((one) => one.yours && one.state === "refused") : waiting.find((one) => one.once === state.once);
  if (room?.state === "refused") { await refused(room); return; }
  if (!onRoom && !sent) return; // refused meanwhile: what is gone from the outbox is in the draft again, not on the server
  if (!room) find("[data-refused]").hidden = true; // what was refused before has been taken since
  const not = waiting.filter(refusedBeside);
  const list = find("[data-states]");
  const head = not.length && not.length === waiting.length ? "The room itself is on the server; this is not:" : !onRoom && !room && waiting.length ? "The room itself is on the server." : "";
  list.replaceChildren(...(head ? [make("li", head)] : []));
  shelve(list, waiting, (one) => {
    const item = make("li");
    item.append(make("span", one.title, { dir: "auto" }));
    if (one.state === "refused") {
      const gone = make("button", "Throw away", { type: "button", class: "quiet-button", "aria-label": `Throw away: ${one.title}` });
      gone.addEventListener("click", async () => { await drop("outbox", one.once); await states(); });
      item.append(make("p", `Not accepted: ${whyNot(one)}`, { class: "fault", dir: "auto" }), gone);
    } else item.append(make("span", one.state === "login" ? "on this phone until you log in" : navigator.onLine ? "on its way" : "on this phone, no signal", { class: "quiet" }));
    return item;
  });
  if (onRoom) {
    find("[data-kept]").textContent = not.length === waiting.length ? "Kept on this phone" : navigator.onLine ? "On its way" : "Kept on this phone, no signal";
    if (!(await settled())) return;
    if (not.length) find("[data-kept]").textContent = BUT; else list.append(make("li", "All of it is on the server."));
    return;
  }
  if (room) { find("[data-kept]").textContent = "Kept on this phone"; return; }
  if (!waiting.length) {
    list.append(make("li", "All of it is on the server."));
    find("[data-kept]").textContent = "On the server";
    for (const { id } of filed()) await drop("files", id);
  } else if (not.length === waiting.length) find("[data-kept]").textContent = BUT;
  find("[data-next]").hidden = false;
  find("[data-room]").href = led ?? `/locations/${place}`;
}
addEventListener("outbox", ({ detail }) => { if (detail.once === state.once) led = detail.there; if (sent || onRoom) states(); });

function notTaken(heading, items) {
  find("[data-refused] h2").textContent = heading;
  find("[data-refused] ul").replaceChildren(...items);
  find("[data-refused]").hidden = false;
  find("[data-refused]").focus();
}

// Somebody else recorded something else meanwhile: both answers are shown, and one tap each settles it.
function contradicted(one) {
  const chosen = new Map();
  const { conflicts } = one.said;
  notTaken("Two answers: which one holds?", conflicts.map((conflict, at) => {
    const item = make("li", conflict.fact);
    const chips = make("div", "", { class: "chips", role: "group", "aria-label": conflict.fact });
    for (const [whose, words] of [["yours", `Mine: ${conflict.yours}`], ["theirs", `On the server: ${conflict.theirs}`]]) {
      const button = make("button", words, { type: "button", "aria-pressed": "false", dir: "auto" });
      button.addEventListener("click", async () => {
        chosen.set(at, whose);
        for (const other of chips.children) other.setAttribute("aria-pressed", String(other === button));
        if (chosen.size < conflicts.length) return;
        let { base, yours } = one;
        for (const [turn, { path, recorded }] of conflicts.entries()) {
          base = withValue(base, path, recorded, one.yours);
          if (chosen.get(turn) === "theirs") yours = withValue(yours, path, recorded, one.yours);
        }
        const { measured } = JSON.parse(one.pairs.find(([name]) => name === "walk")[1]).yours;
        const pairs = one.pairs.map((pair) => (pair[0] === "walk" ? documents(base, yours, measured) : pair));
        await put("outbox", { ...one, state: "waiting", said: null, base, yours, pairs });
        find("[data-refused]").hidden = true;
        await flush();
        await states();
        await save(true);
      });
      chips.append(button);
    }
    item.append(chips);
    return item;
  }));
}

async function refused(one) {
  if (one.said?.conflicts) { contradicted(one); return; }
  // the server has not taken it under this name: it may be mended and sent again
  const later = (await all("outbox")).filter((other) => other.after === one.once || (onRoom && other.walk === state.once && other.yours));
  if (onRoom) state.base = one.was;
  sent = false;
  await together(["outbox", "drafts"], (kind) => {
    for (const other of [one, ...later]) kind("outbox").delete(other.once);
    kind("drafts").put({ key: draftKey(), at: Date.now(), walk: { ...state, sent: false } });
  });
  find("[data-send]").disabled = false;
  find("[data-states]").replaceChildren();
  const refusals = one.said?.refusals ?? [{ fact: "The room", path: "", step: "photos", because: `was not accepted (${one.status})` }];
  notTaken("Not accepted yet; all of it is kept on this phone", refusals.map(({ path, step, fact, because }) => {
    const item = make("li");
    const button = make("button", `${fact}: ${because}`, { type: "button", class: "linklike" });
    button.addEventListener("click", () => {
      go(step);
      const at = path.match(/(windows|doors|outlets)\[(\d+)\]/);
      if (at) { picked = state.things.indexOf(state.things.filter(({ kind }) => kind === { windows: "window", doors: "door", outlets: "socket" }[at[1]])[Number(at[2])]); changed(); }
    });
    item.append(button);
    return item;
  }));
}

for (const button of findAll("[data-anew]")) button.addEventListener("click", async () => {
  if (!sent) {
    await drop("drafts", draftKey());
    for (const { id } of filed()) await drop("files", id);
  }
  begin();
  sent = false;
  picked = -1;
  find("[data-send]").disabled = false;
  for (const part of ["[data-again]", "[data-refused]", "[data-next]"]) find(part).hidden = true;
  find("[data-states]").replaceChildren();
  legs();
  rows();
  go("photos");
});

// -- begun before on this phone: gone on with

const walked = onRoom && (await one("drafts", walkedKey));
if (walked?.seen > page.seen) page = { recorded: walked.recorded, seen: walked.seen };
begin();
const drafts = (await all("drafts")).filter(({ key, walk }) => walk && (onRoom ? key === draftKey() : key.startsWith(`walk ${place} `))).sort((a, b) => b.at - a.at);
let stuck = null;
for (const { walk } of drafts) {
  const waiting = (await all("outbox")).filter((one) => one.walk === walk.once);
  const no = waiting.find((one) => one.state === "refused" && (onRoom ? one.yours : one.once === walk.once));
  if (!onRoom && walk.sent && !no) continue;
  goOn(walk);
  if (onRoom && !waiting.length && clean()) { begin(); continue; }
  stuck = no ?? null;
  find("[data-again]").hidden = false;
  break;
}
legs();
rows();
const wanted = () => (location.hash.slice(1) in STEPS ? location.hash.slice(1) : state.step);
addEventListener("hashchange", () => go(wanted()));
go(wanted());
if (stuck) await refused(stuck);
else if (onRoom) { await states(); await save(true); }
if (onRoom) document.addEventListener("visibilitychange", () => { if (document.hidden) save(true); });
