// What a walk changed of a record, as plain JSON. Nothing here knows the page.

// these say one thing together with the key that says it, as on the server
const WHOLE = new Set(["facing", "colour"]);
const isObject = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
const nameOf = (part) => part.id ?? part.name;
const named = (list) => Array.isArray(list) && list.length > 0 && list.every((part) => isObject(part) && nameOf(part));
export const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

// The recorded document with what was changed between `was` and `now`, and nothing else touched: both say only what a walk
// knows of a room, and say it rounded; recorded is more, and exact.
export function patched(recorded, was, now) {
  const made = { ...recorded };
  for (const key of new Set([...Object.keys(was ?? {}), ...Object.keys(now ?? {})])) {
    const [before, after] = [was?.[key], now?.[key]];
    if (same(before, after)) continue;
    const whole = WHOLE.has(key);
    if (!whole && (named(before) || named(after))) {
      const parts = (list) => Object.fromEntries((list ?? []).map((part) => [nameOf(part), part]));
      const list = Object.values(patched(parts(recorded?.[key]), parts(before), parts(after)));
      if (list.length) made[key] = list; else delete made[key];
    } else if (!whole && (isObject(before) || isObject(after)) && isObject(recorded?.[key] ?? {})) {
      const inner = patched(recorded?.[key] ?? {}, before ?? {}, after ?? {});
      if (Object.keys(inner).length) made[key] = inner; else delete made[key];
    } else if (after === undefined) delete made[key];
    else made[key] = after;
  }
  return made;
}

// The document with another value at the end of a path; null takes it out. `like` tells lists from records where the
// document has neither.
export function withValue(doc, [key, ...rest], value, like) {
  const list = Array.isArray(doc ?? like);
  const find = (parts) => (parts ?? []).findIndex((part) => nameOf(part) === key);
  const at = list ? find(doc) : key;
  const alike = list ? (like ?? [])[find(like)] : like?.[key];
  const start = list ? doc?.[at] ?? (alike?.id ? { id: key } : { name: key }) : doc?.[key];
  const inner = rest.length ? withValue(start, rest, value, alike) : value;
  const made = list ? [...(doc ?? [])] : { ...doc };
  if (!list) { if (inner === null || inner === undefined) delete made[key]; else made[key] = inner; return made; }
  if (at < 0) { if (inner !== null) made.push(inner); } else if (inner === null) made.splice(at, 1); else made[at] = inner;
  return made;
}
