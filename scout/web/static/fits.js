// How what was recorded of a room fits together, as records/checks.py judges it (one table of tests, tests/fitting_facts.py,
// holds both together), while it is typed: it is kept all the same.

const given = (value) => value !== undefined && value !== null;
const sill = (one, kind) => (kind === "windows" ? one.sill_m ?? 0 : 0);
const head = (one, kind) => (given(one.height_m) ? sill(one, kind) + one.height_m : Infinity);

function overlap(one, kind, other, otherKind) {
  if (one.wall !== other.wall || ![one.offset_m, other.offset_m, one.width_m, other.width_m].every(given)) return 0;
  const across = Math.min(one.offset_m + one.width_m, other.offset_m + other.width_m) - Math.max(one.offset_m, other.offset_m);
  return Math.min(across, Math.min(head(one, kind), head(other, otherKind)) - Math.max(sill(one, kind), sill(other, otherKind)));
}

// whether a place lies in a plan, or so near to its edge
function inside([x, y], corners, near) {
  let within = false;
  for (const [i, [ax, ay]] of corners.entries()) {
    const [bx, by] = corners[(i + 1) % corners.length];
    const [u, v] = [bx - ax, by - ay];
    const at = Math.max(0, Math.min(1, ((x - ax) * u + (y - ay) * v) / (u * u + v * v || 1)));
    if (Math.hypot(x - ax - at * u, y - ay - at * v) <= near) return true;
    if (ay > y !== by > y && x < ax + ((y - ay) * u) / v) within = !within;
  }
  return within;
}

const FOOT = 0.3048;
export const inches = (m) => `${Math.floor(Math.round((m / FOOT) * 24) / 24)}' ${(Math.round((m / FOOT) * 24) % 24) / 2}"`;
// the record's words of a page, and how it says lengths
export const saying = (fits, units) => ({ ...fits, said: units === "feet" ? inches : (m) => `${m.toFixed(2)}\u00a0m`, typed: units === "feet" ? inches : (m) => `${Number(m.toFixed(3))}\u00a0m` });
export const told = ({ value, because }, says) => (value === null ? because : `“${says.typed(value)}” ${because}`);

// What one part that is being typed does not fit beside all others, by the field that it is told at.
export function misfitsOf(part, { kind, room, walls }, says) {
  const all = (list) => misfits({ room: { ...room, [kind]: list } }, walls, null, says);
  const before = new Set(all(room[kind]).map((one) => JSON.stringify(one)));
  return all([...room[kind], part]).filter((one) => !before.has(JSON.stringify(one))).map((one) => {
    const own = one.kind === kind && one.id === part.id;
    return { field: own ? one.field : "offset_m", words: own ? told(one, says) : `${one.id}: ${told(one, says)}` };
  });
}

// What does not fit: of which part (kind and label) and field, and the record's words with its figures in them. `walls`:
// the length of each by its letter, null while the plan is not whole; `says`: the words, the slacks, and how lengths are said.
export function misfits({ room = {}, marks = {} }, walls, corners, { words, walls: called, slack_m: slack, frame_m: frame, said, typed }) {
  const found = [];
  const tell = (kind, id, field, code, value, figures = {}) => {
    let because = words[code];
    for (const [name, figure] of Object.entries(figures)) because = because.replace(name.toUpperCase(), () => figure);
    found.push({ kind, id, field, value, because });
  };
  const openings = ["windows", "doors"].flatMap((kind) => (room[kind] ?? []).map((one) => [kind, one]));
  for (const [kind, one] of openings) {
    const [long, wall] = [walls?.[one.wall], { wall: called[one.wall] }];
    if (given(long)) {
      if (given(one.width_m) && one.width_m > long + slack) tell(kind, one.id, "width_m", "wider", one.width_m, { ...wall, length: said(long) });
      else if (given(one.offset_m) && one.offset_m + (one.width_m ?? 0) > long + slack) tell(kind, one.id, "offset_m", "reaches_past", one.offset_m, { reach: said(one.offset_m + (one.width_m ?? 0)), ...wall, length: said(long) });
    }
    if (!given(room.height_m) || room.setting === "exterior") continue;
    const ceiling = { ceiling: typed(room.height_m) };
    if (kind === "windows" && given(one.sill_m) && one.sill_m >= room.height_m) tell(kind, one.id, "sill_m", "above_ceiling", one.sill_m, ceiling);
    else if (given(one.height_m) && head(one, kind) > room.height_m + slack) tell(kind, one.id, "height_m", "head_above", one.height_m, { head: said(head(one, kind)), ...ceiling });
  }
  for (const [turn, [kind, one]] of openings.entries()) {
    const hit = openings.slice(0, turn).find(([other, before]) => overlap(one, kind, before, other) > (kind === other ? slack : frame));
    if (hit) tell(kind, one.id, "offset_m", "overlap", one.offset_m, { one: one.id, other: hit[1].id, wall: called[one.wall] });
  }
  for (const one of room.outlets ?? []) {
    const long = walls?.[one.wall];
    if (given(long) && given(one.offset_m) && one.offset_m > long + slack) tell("outlets", one.id, "offset_m", "past_end", one.offset_m, { wall: called[one.wall], length: said(long) });
    if (given(one.height_m) && given(room.height_m) && one.height_m > room.height_m) tell("outlets", one.id, "height_m", "above_ceiling", one.height_m, { ceiling: typed(room.height_m) });
  }
  // a camera may look in through a measured door: only the server follows its sight
  const through = (room.doors ?? []).some((door) => given(door.offset_m) && given(door.width_m));
  for (const name of ["subject", "camera"]) if (corners && marks[name] && !(name === "camera" && through) && !inside(marks[name], corners, slack)) tell("marks", name, "", name === "camera" ? "camera_outside" : "outside", null);
  for (const [turn, spot] of (marks.others ?? []).entries()) if (corners && !inside(spot, corners, slack)) tell("marks", `Person ${turn + 2}`, "", "outside", null);
  return found;
}
