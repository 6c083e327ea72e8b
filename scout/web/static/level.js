// Hands the microphone's samples on as they are.
registerProcessor("level", class extends AudioWorkletProcessor {
  process([[samples]]) {
    if (samples) this.port.postMessage(samples.slice());
    return true;
  }
});
