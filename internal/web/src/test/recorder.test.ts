import assert from "node:assert/strict";
import test from "node:test";

import { Recorder } from "../recorder";

/** A browser whose microphone is given so. */
function devices(give: () => Promise<unknown>): void {
  Object.defineProperty(globalThis, "navigator", { configurable: true, value: { mediaDevices: { getUserMedia: give } } });
}

test("a microphone that is not there is told in plain words, and one that can't be recorded is let go", async () => {
  let stopped = 0;
  devices(() => Promise.reject(new DOMException("", "NotFoundError")));
  await assert.rejects(Recorder.begin("", () => undefined), /^Error: There is no microphone\. Connect one/);
  devices(() => Promise.reject(new DOMException("", "NotAllowedError")));
  await assert.rejects(Recorder.begin("", () => undefined), /^Error: The browser was told not to give the microphone\./);
  devices(() => Promise.reject(new DOMException("Could not start audio source", "NotReadableError")));
  await assert.rejects(Recorder.begin("", () => undefined), /^Error: The microphone gives nothing: another program may have it\./);
  devices(async () => ({ getTracks: () => [{ stop: () => stopped++ }] }));
  await assert.rejects(Recorder.begin("", () => undefined), /./); // there is no sound here to record with
  assert.equal(stopped, 1);
});

/** A context of which is written down what is joined and let go. */
class Context {
  state = "running";
  readonly sampleRate = 48000;
  readonly joined = new Set<object>();
  readonly audioWorklet: { addModule: () => Promise<void> };

  constructor(private readonly fails = false) {
    this.audioWorklet = { addModule: async () => { if (this.fails) throw new Error("no worklet"); } };
  }

  node(): object {
    const node = { connect: () => void this.joined.add(node), disconnect: () => void this.joined.delete(node) };
    return node;
  }

  createMediaStreamSource = (): object => this.node();
  createChannelMerger = (): object => this.node();
  createGain = (): object => this.node();
  close = async (): Promise<void> => void (this.state = "closed");
}

test("a recorder whose worklet does not come lets its context go, and of a shared one all that it has joined", async () => {
  let stopped = 0;
  devices(async () => ({ getTracks: () => [{ stop: () => stopped++ }] }));
  const own: Context[] = [];
  Object.assign(globalThis, { AudioContext: class extends Context { constructor() { super(true); own.push(this); } } });
  await assert.rejects(Recorder.begin("capture.js", () => undefined), /no worklet/);
  assert.deepEqual(own.map((c) => c.state), ["closed"]);
  assert(stopped > 0);
  const shared = new Context(true);
  await assert.rejects(Recorder.begin("capture.js", () => undefined, undefined, shared as unknown as AudioContext), /no worklet/);
  assert.equal(shared.state, "running");
  assert.equal(shared.joined.size, 0);
});

test("the worklet of a recording that has ended is told to end, and ends", async () => {
  let Processor: (new () => { port: MessagePort; process(inputs: Float32Array[][]): boolean }) | null = null;
  const { port1, port2 } = new MessageChannel();
  Object.assign(globalThis, {
    AudioWorkletProcessor: class { readonly port = port1; },
    AudioWorkletNode: class { readonly port = port2; connect = (): void => undefined; disconnect = (): void => undefined; },
    registerProcessor: (_: string, p: typeof Processor) => (Processor = p),
  });
  await import("../capture");
  const processor = new Processor!();
  devices(async () => ({ getTracks: () => [] }));
  const recorder = await Recorder.begin("capture.js", () => undefined, undefined, new Context() as unknown as AudioContext);
  assert.equal(processor.process([]), true);
  const told = new Promise((come) => {
    port1.addEventListener("message", () => come(true));
    setTimeout(() => come(false), 5000);
  });
  await recorder.end();
  const came = await told;
  port1.close(); // else the test's process goes on
  assert.equal(came, true);
  assert.equal(processor.process([]), false);
});

test("a microphone that is taken away is told, and one that the recorder lets go is not", async () => {
  const track = { stop: () => undefined, onended: (): void => undefined };
  devices(async () => ({ getTracks: () => [track] }));
  Object.assign(globalThis, { AudioWorkletNode: class { readonly port = { postMessage: () => undefined }; connect = (): void => undefined; disconnect = (): void => undefined; } });
  const recorder = await Recorder.begin("capture.js", () => undefined, undefined, new Context() as unknown as AudioContext);
  const told: string[] = [];
  recorder.gone = (why) => told.push(why.message);
  track.onended();
  assert.deepEqual(told, ["The microphone was disconnected."]);
  await recorder.end();
  assert.equal(told.length, 1);
});
