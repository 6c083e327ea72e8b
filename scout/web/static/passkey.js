// Passkeys: the browser asks the device, its answer goes to the server. What the page says of them stays away where there can be none.

const bytes = (text) => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (sign) => sign.charCodeAt(0));
const text = (held) => btoa(String.fromCharCode(...new Uint8Array(held))).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");

async function send(path, fields) {
  const answer = await fetch(path, { method: "POST", body: new URLSearchParams(fields), headers: { Accept: "application/json" } });
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(said.because ?? `The server answered ${answer.status}.`);
  return said;
}

const described = (list) => (list ?? []).map((one) => ({ ...one, id: bytes(one.id) }));

async function made(options) {
  const { response, ...key } = await navigator.credentials.create({ publicKey: {
    ...options,
    challenge: bytes(options.challenge),
    user: { ...options.user, id: bytes(options.user.id) },
    excludeCredentials: described(options.excludeCredentials),
  } }).then((found) => ({ id: found.id, rawId: text(found.rawId), type: found.type, response: found.response }));
  return { ...key, response: { clientDataJSON: text(response.clientDataJSON), attestationObject: text(response.attestationObject) } };
}

async function answered(options) {
  const found = await navigator.credentials.get({ publicKey: { ...options, challenge: bytes(options.challenge), allowCredentials: described(options.allowCredentials) } });
  const { clientDataJSON, authenticatorData, signature, userHandle } = found.response;
  return { id: found.id, rawId: text(found.rawId), type: found.type, response: {
    clientDataJSON: text(clientDataJSON), authenticatorData: text(authenticatorData), signature: text(signature), userHandle: userHandle ? text(userHandle) : null } };
}

const able = window.isSecureContext && "PublicKeyCredential" in window && !/^[\d.]+$|^\[/.test(location.hostname);
for (const form of document.querySelectorAll("form[data-passkey]")) {
  form.hidden = !able;
  const told = form.querySelector("[role=status]");
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    told.textContent = "";
    const typed = Object.fromEntries(new FormData(form));
    try {
      const options = await send(form.dataset.passkey, typed);
      const key = await (options.user ? made(options) : answered(options));
      delete typed.old;
      location.assign((await send(form.action, { ...typed, credential: JSON.stringify(key) })).there);
    } catch (error) {
      // a device names no reason: nobody is to learn which keys it holds
      told.textContent = error instanceof DOMException ? "The device made no key, or has none for this page." : error.message;
    }
  });
}
for (const other of document.querySelectorAll("[data-no-passkey]")) other.hidden = able;
