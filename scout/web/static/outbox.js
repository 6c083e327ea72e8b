// Nothing typed is lost: each form is kept on the phone as it is typed, then sent under a name of its own until the server
// has taken it. Pages work without this script; with it they work without signal too.

const NAME = "sillbook";
const LOGIN = "login";

let opened = null;
function store() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 2);
    request.onupgradeneeded = () => {
      const kinds = { drafts: "key", outbox: "once", files: "id" };
      for (const [kind, keyPath] of Object.entries(kinds))
        if (!request.result.objectStoreNames.contains(kind)) request.result.createObjectStore(kind, { keyPath });
    };
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = () => { opened = null; db.close(); }; // a newer page of ours, in another tab
      db.onclose = () => { opened = null; };
      resolve(db);
    };
    request.onerror = () => { opened = null; reject(request.error); };
  });
  return opened;
}

async function doing(kinds, mode, what) {
  const begin = (db) => db.transaction(kinds, mode, { durability: "strict" });
  let run;
  try { run = begin(await store()); } catch { opened = null; run = begin(await store()); } // it was shut behind our back
  return await new Promise((resolve, reject) => {
    let request;
    try { request = what(run); } catch (error) { run.abort(); reject(error); return; } // what went in before it goes again
    run.oncomplete = () => resolve(request?.result);
    run.onerror = run.onabort = () => reject(run.error);
  });
}

// Several kinds in one transaction: all of it, or nothing.
export const together = (kinds, what) => doing(kinds, "readwrite", (run) => { what((kind) => run.objectStore(kind)); });

// Many into one kind, within a transaction that is open: some at a time, so that the page answers a thumb between them.
const AT_ONCE = 10;
export function each(kind, values) {
  const requests = values.slice(0, AT_ONCE).map((value) => kind.put(value));
  if (values.length > AT_ONCE) requests.at(-1).onsuccess = () => each(kind, values.slice(AT_ONCE));
}

export const put = (kind, value) => doing(kind, "readwrite", (run) => run.objectStore(kind).put(value));
export const drop = (kind, key) => doing(kind, "readwrite", (run) => run.objectStore(kind).delete(key));
const counted = (kind) => doing(kind, "readonly", (run) => run.objectStore(kind).count());

// Everything of a kind as it stands at one moment, read some at a time likewise.
export async function all(kind) {
  const found = [];
  await doing(kind, "readonly", (run) => {
    const kept = run.objectStore(kind);
    const more = (range) => {
      const some = kept.getAll(range, AT_ONCE);
      some.onsuccess = () => {
        found.push(...some.result);
        if (some.result.length === AT_ONCE) more(IDBKeyRange.lowerBound(found.at(-1)[kept.keyPath], true));
      };
    };
    more(null);
  });
  return found;
}

// A long list, likewise; whoever fills it anew meanwhile does so alone.
const LINES = 25;
const fillings = new WeakMap();
export async function shelve(list, items, line) {
  const mine = {};
  fillings.set(list, mine);
  for (let at = 0; at < items.length; at += LINES) {
    if (at) await new Promise((done) => setTimeout(done));
    if (fillings.get(list) !== mine) return;
    list.append(...items.slice(at, at + LINES).map(line));
  }
}
export const one = (kind, key) => doing(kind, "readonly", (run) => run.objectStore(kind).get(key));

// crypto.randomUUID wants HTTPS; a phone on the network of a hall may have plain HTTP
export function uuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

async function freshToken() {
  const answer = await fetch("/outbox/token", { headers: { Accept: "application/json" }, redirect: "manual" });
  if (answer.status >= 500) throw new Error("the server cannot answer now");
  return answer.ok ? (await answer.json()).csrf_token : null;
}

// A photo by itself is sent as it is, and what a form would say beside it as headers: nobody takes a form apart.
function bare(entry, pairs) {
  const [file, ...others] = pairs.filter(([name]) => name !== "csrf_token").map(([, value]) => value);
  if (!entry.action.endsWith("/photos") || others.length || !(file instanceof Blob)) return null;
  return { body: file, headers: {
    "Content-Type": "application/octet-stream",
    "Content-Disposition": `attachment; filename*=UTF-8''${encodeURIComponent(file.name).replace(/['()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16)}`)}`,
    "X-CSRFToken": pairs.find(([name]) => name === "csrf_token")?.[1] ?? "",
  } };
}

function asForm(pairs) {
  const body = pairs.some(([, value]) => value instanceof Blob) ? new FormData() : new URLSearchParams();
  for (const [name, value] of pairs) body.append(name, value, ...(value instanceof Blob ? [value.name] : []));
  return { body };
}

// What became of one thing kept: {there}, {login}, {refused: status} or {waiting}.
export async function deliver(entry, token = null) {
  const pairs = entry.pairs.map(([name, value]) => [name, name === "csrf_token" && token ? token : value]);
  const { body, headers } = bare(entry, pairs) ?? asForm(pairs);
  let answer;
  try {
    answer = await fetch(entry.action, { method: "POST", body, headers: { "X-Once": entry.once, Accept: entry.accept ?? "text/html", ...headers } });
  } catch {
    return { waiting: true };
  }
  if (answer.status === 401 || (answer.status === 400 && token === null)) return { login: true };
  if (answer.status >= 500 || answer.status === 429) return { waiting: true, status: answer.status };
  if (answer.headers.get("Content-Type")?.startsWith("application/json")) {
    const said = await answer.json();
    if (said.login) return { login: true };
    if (answer.ok) return { there: said.there ?? null, said };
    return { refused: answer.status, said };
  }
  // a page in answer to a form has taken nothing yet: the browser is to show it
  return { refused: answer.status };
}

export async function keep(entry) {
  const whole = { once: uuid(), at: Date.now(), page: location.pathname + location.search, title: document.title, ...entry };
  await put("outbox", whole);
  await show();
  return whole;
}

export async function settle(entry, outcome) {
  if (outcome.waiting || outcome.login) await put("outbox", { ...entry, state: outcome.login ? LOGIN : "waiting" });
  else if (outcome.refused) await put("outbox", { ...entry, state: "refused", status: outcome.refused, said: outcome.said ?? null });
  else await delivered(entry, outcome);
  await show();
  dispatchEvent(new CustomEvent("outbox", { detail: { once: entry.once, there: outcome.there ?? null, taken: !(outcome.waiting || outcome.login || outcome.refused) } }));
}

// What waited for this one (a room's photos wait for the room) may go, to where it led; its draft has done its work.
async function delivered(entry, { there, said }) {
  const followers = (await all("outbox")).filter((other) => other.after === entry.once);
  const key = there?.match(/\/rooms\/(\d+)/)?.[1];
  await together(["outbox", "drafts"], (kind) => {
    kind("outbox").delete(entry.once);
    if (entry.draft) kind("drafts").delete(entry.draft);
    // how the record stands now, for what will be sent on top of it
    if (entry.keeps) kind("drafts").put({ key: entry.keeps, at: Date.now(), recorded: said?.recorded ?? entry.yours, seen: said?.seen ?? entry.seen + 1 });
    if (key) for (const { after, ...other } of followers) kind("outbox").put({ ...other, action: other.action.replace("ROOM", key) });
  });
}

// What a page is sending has no state yet; a page that was left or killed meanwhile never gives it one. Its name makes a
// second sending harmless.
const LEFT_MS = 60_000;
const waits = ({ state, at }) => (state ? state !== "refused" : Date.now() - at > LEFT_MS);

// Everything that waits, in the order in which it was kept; one tab at a time.
export async function flush() {
  const run = async () => {
    if (!navigator.onLine) return;
    const waiting = (await all("outbox")).filter(waits).sort((a, b) => a.at - b.at);
    if (!waiting.length) return;
    let token = null;
    try { token = await freshToken(); } catch { return; }
    if (token === null) { // nobody is logged in any more: what waits says so
      await together(["outbox"], (kind) => { for (const entry of waiting) kind("outbox").put({ ...entry, state: LOGIN }); });
      await show();
      return;
    }
    for (const { once } of waiting) {
      const entry = await one("outbox", once); // as it is now: one before it may have told where it goes
      if (!entry || entry.after) continue;
      let outcome = await deliver(entry, token);
      if (outcome.refused === 400) { // the session ended since the token was given, or began anew: that refuses nothing
        try { token = await freshToken(); } catch { return; }
        outcome = token === null ? { login: true } : await deliver(entry, token);
      }
      await settle(entry, outcome);
      if (outcome.waiting || outcome.login) return;
    }
  };
  if (navigator.locks) await navigator.locks.request("sillbook-outbox", { ifAvailable: true }, (lock) => (lock ? run() : undefined));
  else await run();
}

// Why the server has not taken it: its own words where it gave some.
export function whyNot({ said, status }) {
  if (said?.conflicts) return "somebody else recorded it otherwise: open it and choose";
  const files = (said?.files ?? []).map(({ refused }) => refused);
  const facts = (said?.refusals ?? []).map(({ fact, because }) => `${fact}: ${because}`);
  const words = [...files, ...facts, ...[said?.because ?? []].flat()].filter(Boolean).join(" ");
  return words || ({ 404: "what it belongs to was deleted", 413: "it is too large", 422: "open it, put it back and send it: the page says what is wrong" }[status] ?? `the server answered ${status}`);
}

// Where what waits can be mended; null: there is nothing to do but wait.
function mendedAt({ page, action, walk, after, state }) {
  if (!walk) return page;
  if (after) return null;
  const [, room, kind] = action.match(/^\/rooms?\/(\d+)\/(photos|recordings|notes)/) ?? [];
  if (room) return { photos: `/rooms/${room}/recorded#photos`, recordings: `/rooms/${room}/sound`, notes: `/room/${room}/notes/new` }[kind];
  return state === "refused" || action.startsWith("/rooms/") ? page : null; // a new room that was sent is no walk any more
}

async function show() {
  const count = await counted("outbox");
  for (const badge of document.querySelectorAll("[data-outbox]")) {
    badge.hidden = !count;
    badge.textContent = `${count} on this phone, not sent`;
  }
  const list = document.querySelector("[data-outbox-list]");
  if (!list) return;
  const entries = (await all("outbox")).sort((a, b) => a.at - b.at);
  list.replaceChildren();
  shelve(list, entries, (entry) => {
    const item = document.createElement("li");
    const there = mendedAt(entry);
    const name = document.createElement(there ? "a" : "strong");
    if (there) name.href = there;
    name.dir = "auto";
    name.textContent = entry.title.replace(" · Sillbook", "");
    const state = document.createElement("span");
    state.className = "quiet";
    const why = { refused: `not accepted: ${entry.state === "refused" ? whyNot(entry) : ""}`, after: "goes after its room", login: "waits until you log in" }[entry.after ? "after" : entry.state] ?? (navigator.onLine ? "not sent yet; it is tried again by itself" : "waits for signal");
    state.textContent = `${new Date(entry.at).toLocaleString()}, ${why}`;
    const gone = document.createElement("button");
    gone.className = "quiet-button";
    gone.textContent = "Throw away";
    gone.setAttribute("aria-label", `Throw away: ${name.textContent}`);
    gone.addEventListener("click", async () => {
      if (gone.dataset.sure) { await drop("outbox", entry.once); await show(); return; }
      gone.dataset.sure = "yes";
      gone.textContent = "Throw away for good?";
    });
    item.append(name, state, gone);
    return item;
  });
  // this page in answer to another address: the worker had neither signal nor a copy
  const elsewhere = document.querySelector("[data-outbox-elsewhere]");
  if (elsewhere) elsewhere.hidden = location.pathname === new URL(elsewhere.dataset.outboxElsewhere, location.href).pathname;
  document.querySelector("[data-outbox-none]").hidden = entries.length > 0;
}

// -- forms: a draft with every keystroke, a name with every sending

const keyOf = (form) => `${location.pathname} ${new URL(form.action, location.href).pathname}`;
const typedOf = (form, submitter) => [...new FormData(form, submitter)].filter(([name]) => name !== "once");
const toCompare = (pairs) => JSON.stringify(pairs.filter(([name, value]) => !["csrf_token", "version"].includes(name) && !(value instanceof Blob)));

function fill(form, pairs) {
  const byName = new Map();
  for (const [name, value] of pairs) {
    if (value instanceof Blob || name === "csrf_token") continue;
    byName.set(name, [...(byName.get(name) ?? []), value]);
  }
  for (const rows of form.querySelectorAll("[data-rows]")) {
    const button = rows.querySelector(":scope > .more-rows");
    for (const name of byName.keys()) {
      const found = name.match(new RegExp(`^${rows.dataset.rows}-(\\d+)-`));
      while (button && found && Number(rows.dataset.next) <= Number(found[1]) && Number(rows.dataset.next) < 200) button.click();
    }
  }
  for (const [name, values] of byName) {
    const fields = [...form.elements].filter((field) => field.name === name && field.type !== "hidden");
    for (const [at, field] of fields.entries()) {
      if (field.type === "checkbox" || field.type === "radio") field.checked = values.includes(field.value);
      else if (at < values.length) field.value = values[at];
    }
  }
  for (const box of form.querySelectorAll("input[type=checkbox]")) if (box.name && !byName.has(box.name)) box.checked = false;
}

function bar(form, words, ...buttons) {
  form.querySelector(":scope > .outbox-bar")?.remove();
  const told = document.createElement("p");
  told.className = "outbox-bar told";
  told.setAttribute("role", "status");
  told.append(words, " ");
  for (const [text, deed] of buttons) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.addEventListener("click", deed);
    told.append(button, " ");
  }
  form.prepend(told);
  told.scrollIntoView({ block: "nearest" });
}

// whoever comes back by the button of that name finds the page as it was left
const cameBack = () => performance.getEntriesByType("navigation")[0]?.type === "back_forward";

async function guard(form) {
  const key = keyOf(form);
  const typed = form.hasAttribute("data-typed"); // an answer to this very form, which holds what was typed
  const left = sessionStorage.getItem(key); // typed in the last moment before the page was left
  sessionStorage.removeItem(key);
  if (left) await put("drafts", { key, at: Date.now(), pairs: JSON.parse(left) });
  const before = await one("drafts", key);
  if (before && !typed && !document.querySelector("#faults, #stale") && toCompare(before.pairs) !== toCompare(typedOf(form))) {
    const when = new Date(before.at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
    const done = () => form.querySelector(":scope > .outbox-bar").remove();
    const back = () => { fill(form, before.pairs); form.dispatchEvent(new Event("input", { bubbles: true })); };
    const version = (pairs) => pairs.find(([name]) => name === "version")?.[1];
    if (cameBack() && version(before.pairs) === version(typedOf(form))) { // else somebody saved meanwhile: asked first
      back();
      bar(form, "As you left it, and not sent yet.", ["Forget it", async () => { form.reset(); await drop("drafts", key); done(); }]);
    } else bar(form, `Typed on this phone ${when} and never sent.`, ["Put it back", () => { back(); done(); }], ["Forget it", async () => { await drop("drafts", key); done(); }]);
  }
  const texts = () => typedOf(form).filter(([, value]) => !(value instanceof Blob));
  const draft = () => put("drafts", { key, at: Date.now(), pairs: texts() });
  if (typed) await draft();
  let pending = 0;
  form.addEventListener("input", () => { clearTimeout(pending); pending = setTimeout(() => { pending = 0; draft(); }, 120); });
  addEventListener("pagehide", () => { if (pending) sessionStorage.setItem(key, JSON.stringify(texts())); });
  let entry = null;
  let sending = null;
  form.addEventListener("submit", (event) => {
    if (event.defaultPrevented || event.submitter?.name) return; // a button with a name asks for another row, and keeps nothing
    event.preventDefault();
    clearTimeout(pending);
    pending = 0;
    const pairs = typedOf(form, event.submitter);
    const same = toCompare(pairs);
    if (sending === same) return; // a double tap: the first is on its way
    sending = same;
    send(pairs, same).finally(() => { sending = null; });
  });
  async function send(pairs, same) {
    try {
      // a later press sends the same thing under the same name, unless something was changed
      entry = entry && toCompare(entry.pairs) === same ? { ...entry, pairs } : await keep({ action: form.action, pairs });
    } catch {
      form.submit(); // a browser that keeps nothing still sends
      return;
    }
    const outcome = await deliver(entry);
    if (outcome.there) {
      await settle(entry, outcome);
      await drop("drafts", key);
      location.assign(outcome.there);
      if (new URL(outcome.there, location.href).pathname === location.pathname) location.reload();
    } else if (outcome.refused || (outcome.login && navigator.onLine && !outcome.waiting)) {
      if (outcome.refused) await drop("outbox", entry.once); // the page that comes back holds what was typed
      else await settle(entry, outcome);
      form.submit();
    } else {
      await settle(entry, outcome);
      bar(form, outcome.status ? "The server cannot take it now. It is kept on this phone and will be sent." : "No signal. It is kept on this phone and will be sent when there is.");
    }
  }
}

if ("indexedDB" in window) {
  show().catch(() => {});
  flush().catch(() => {});
  addEventListener("online", () => flush().catch(() => {}));
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flush().catch(() => {}); });
  setInterval(() => flush().catch(() => {}), 30_000);
  for (const link of document.querySelectorAll("a[data-keep-page]")) window.caches?.open("sillbook-pages").then((pages) => pages.add(link.href)).catch(() => {});
  for (const form of document.querySelectorAll("form[data-guard]")) guard(form).catch(() => {});
  navigator.storage?.persist?.();
  document.querySelector("[data-outbox-now]")?.addEventListener("click", () => flush().catch(() => {}));
}
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/worker.js").catch(() => {});

// pages seen stay on the phone for the next basement, and leave it with whoever logs out
for (const form of document.querySelectorAll("form[data-log-out]")) form.addEventListener("submit", () => { caches?.delete("sillbook-pages"); });
