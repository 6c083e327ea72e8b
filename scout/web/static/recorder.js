// What the microphone hears, as a WAV file: for the walk, and for what was forgotten on it.

export const MEMO_SECONDS = 180;

// of a block of samples, in decibels of full scale
export const loudness = (samples) => 10 * Math.log10(samples.reduce((sum, sample) => sum + sample * sample, 0) / samples.length + 1e-9);

function wav(blocks, rate) {
  const count = blocks.reduce((sum, block) => sum + block.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * count));
  const text = (at, words) => [...words].forEach((sign, i) => view.setUint8(at + i, sign.charCodeAt(0)));
  text(0, "RIFF"); view.setUint32(4, 36 + 2 * count, true); text(8, "WAVEfmt ");
  view.setUint32(16, 16, true); view.setUint16(20, 1, true); view.setUint16(22, 1, true);
  view.setUint32(24, rate, true); view.setUint32(28, 2 * rate, true); view.setUint16(32, 2, true); view.setUint16(34, 16, true);
  text(36, "data"); view.setUint32(40, 2 * count, true);
  let at = 44;
  for (const block of blocks) for (const sample of block) { view.setInt16(at, Math.max(-32768, Math.min(32767, Math.round(sample * 32767))), true); at += 2; }
  return new Blob([view], { type: "audio/wav" });
}
// What the microphone hears, until so many seconds are over or `stop` is called; null where it may not be heard.
export async function listened({ seconds: most, tell, raw, level, heard = () => {}, stop = () => {} }) {
  if (!navigator.mediaDevices?.getUserMedia) { tell("No microphone here: it needs HTTPS."); return null; }
  let stream;
  try { stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: !raw, noiseSuppression: !raw, autoGainControl: !raw } }); }
  catch { tell("The microphone is not allowed."); return null; }
  const context = new AudioContext();
  const blocks = [];
  let count = 0;
  await context.audioWorklet.addModule(level);
  const node = new AudioWorkletNode(context, "level");
  context.createMediaStreamSource(stream).connect(node);
  await new Promise((done) => {
    stop(done);
    node.port.onmessage = ({ data }) => {
      blocks.push(data);
      count += data.length;
      if (blocks.length % 20) return;
      heard(data);
      tell(`${Math.max(0, Math.ceil(most - count / context.sampleRate))} s`);
      if (count >= most * context.sampleRate) done();
    };
  });
  node.port.onmessage = null;
  for (const track of stream.getTracks()) track.stop();
  const found = { blob: wav(blocks, context.sampleRate), seconds: count / context.sampleRate };
  await context.close();
  return found;
}

// On a page of a room: each button records, and what it heard waits in the outbox until the server has it.
for (const place of document.querySelectorAll("[data-sound-here]")) {
  const { box, level, action, token, called } = place.dataset;
  const { flush, keep, uuid } = await import(box);
  const find = (query) => place.querySelector(query);
  const tell = (words) => { find("[data-said]").textContent = words; };
  const sent = new Set();
  addEventListener("outbox", ({ detail: { once, taken } }) => {
    if (!sent.has(once)) return;
    tell(taken ? "On the server. " : "Kept on this phone, and sent when it can be.");
    if (taken) find("[data-said]").append(Object.assign(document.createElement("a"), { href: location.href.split("#")[0], textContent: "Show it" }));
  });
  let stop = null;
  for (const button of place.querySelectorAll("[data-record]")) {
    const { purpose, record } = button.dataset;
    const words = button.textContent;
    button.addEventListener("click", async () => {
      if (stop) { stop(); return; }
      button.textContent = "Stop";
      for (const other of place.querySelectorAll("[data-record]")) other.disabled = other !== button;
      const found = await listened({ seconds: Number(button.dataset.record ?? record), raw: purpose === "room", level, tell, stop: (done) => { stop = done; }, heard: (data) => { find("meter").value = loudness(data); } });
      stop = null;
      button.textContent = words;
      for (const other of place.querySelectorAll("[data-record]")) other.disabled = false;
      if (!found) return;
      const heard = find("[data-heard]");
      const once = uuid();
      sent.add(once);
      try {
        await keep({ once, state: "waiting", title: `${purpose === "memo" ? "Memo" : "Recording"} of ${called}`, action, accept: "application/json", pairs: [["csrf_token", token], ["purpose", purpose], ["conditions", purpose === "room" ? heard.value : ""], ["recordings", new File([found.blob], purpose === "memo" ? "memo.wav" : "room.wav", { type: "audio/wav" })]] });
      } catch { tell("No room left on this phone for it. Send what is here first."); return; }
      if (purpose === "room") heard.value = "";
      tell(navigator.onLine ? "Kept on this phone, on its way." : "Kept on this phone, no signal.");
      await flush();
    });
  }
}
