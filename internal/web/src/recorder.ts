// Recording in the page: the microphone's samples as they come, without what a browser
// does for speech.

import { need } from "./dom";
import { held } from "./held";
import { rounded } from "./wave";

/** Turns off a button that records where that can't be, and says why beside it. */
export function sayWhyNot(button: HTMLButtonElement): void {
  const why = whyNot();
  if (!why) return;
  button.disabled = true;
  const said = need<HTMLElement>("#no-microphone");
  said.textContent = why;
  said.hidden = false;
}

/** What went wrong with a microphone, in plain words where the browser's are not. */
function microphoneTrouble(e: unknown): unknown {
  if (!(e instanceof DOMException)) return e;
  if (e.name === "NotAllowedError") return new Error("The browser was told not to give the microphone. Allow it for this page and try again.");
  if (e.name === "NotFoundError") return new Error("There is no microphone. Connect one and try again.");
  if (e.name === "NotReadableError") return new Error("The microphone gives nothing: another program may have it. Close that and try again.");
  return e;
}

/** Why this page can't record, in a sentence; "" when it can. */
export function whyNot(): string {
  if (!window.isSecureContext) {
    return "Recording here needs this machine's own address (localhost), an encrypted one (https) or a page from disk: over plain HTTP a browser gives no microphone. Record with another program and choose the file.";
  }
  if (!navigator.mediaDevices) return "This browser can't record in a page. Record with another program and choose the file.";
  return "";
}

/** The length of a block where a script node hands them on, in samples. */
const scriptBlock = 4096;

export class Recorder {
  /** At the 16 bits that a take is kept with. */
  private readonly blocks: Int16Array[] = [];
  private readonly besides: Int16Array[] = [];
  private samples = 0; // of the blocks
  private frames = 0;
  private readonly holding = held.hold(0);
  /** Where goes what is recorded beside the microphone, to the sample; null where the context is the recorder's own. */
  beside: AudioNode | null = null;
  /** When the mark is, on the context's clock; what stands beside the microphone before it is found. */
  private marked = 0;
  /** When the first sample was heard, on the context's clock; null before that is known. */
  private first: number | null = null;
  /** What has been joined, and where the worklet among it is told to end. */
  private readonly nodes: AudioNode[] = [];
  private port: MessagePort | null = null;

  /** Told when the microphone is taken away; what was heard until then can still be had. */
  gone: (why: Error) => void = () => undefined;

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
    private readonly heard: (seconds: number, peak: number) => void,
    /** Whether the context is the recorder's own. */
    private readonly own: boolean,
  ) {
    for (const t of stream.getTracks()) t.onended = () => this.gone(new Error("The microphone was disconnected."));
  }

  /**
   * Begins to record; heard is told how long it has gone on and how loud the last block was. capture is
   * where the worklet's script lies; without one, as on a page from disk, which is given no worklet, or in a browser
   * that has none, the older script node hands on the same samples, in blocks of so many. shared is the context
   * that sounds what is played along with: where it records too, both go by one clock.
   */
  static async begin(capture: string, heard: (seconds: number, peak: number) => void, block = scriptBlock, shared: AudioContext | null = null): Promise<Recorder> {
    let stream: MediaStream | null = null;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
      return await Recorder.on(stream, capture, heard, block, shared);
    } catch (e) {
      for (const t of stream?.getTracks() ?? []) t.stop();
      throw microphoneTrouble(e);
    }
  }

  /** Records a stream. */
  private static async on(stream: MediaStream, capture: string, heard: (seconds: number, peak: number) => void, block: number, shared: AudioContext | null): Promise<Recorder> {
    let context = shared ?? new AudioContext();
    let microphone: AudioNode;
    try {
      microphone = context.createMediaStreamSource(stream);
    } catch (e) {
      // Some browsers join no microphone of another rate.
      if (!shared || !(e instanceof DOMException)) throw e;
      context = new AudioContext();
      microphone = context.createMediaStreamSource(stream);
    }
    const recorder = new Recorder(context, stream, heard, context !== shared);
    try {
      await recorder.join(microphone, capture, block);
    } catch (e) {
      await recorder.close();
      throw e;
    }
    return recorder;
  }

  /** Has what the microphone hears handed on. */
  private async join(microphone: AudioNode, capture: string, block: number): Promise<void> {
    const { context } = this;
    let source = microphone;
    let channels = 1;
    if (!this.own) {
      source = context.createChannelMerger(2);
      channels = 2;
      this.beside = context.createGain();
      microphone.connect(source, 0, 0);
      this.beside.connect(source, 0, 1);
      this.nodes.push(this.beside);
    }
    this.nodes.push(microphone, source);
    if (capture && context.audioWorklet) {
      await context.audioWorklet.addModule(capture);
      const node = new AudioWorkletNode(context, "capture", { numberOfInputs: 1, numberOfOutputs: 0, channelCount: channels, channelCountMode: "explicit", channelInterpretation: "discrete" });
      this.port = node.port;
      this.port.onmessage = (e: MessageEvent<Float32Array[]>) => this.take(e.data);
      source.connect(node);
      this.nodes.push(node);
    } else {
      await context.resume();
      const node = context.createScriptProcessor(block, channels, 1);
      node.onaudioprocess = (e) => this.take(Array.from({ length: channels }, (_, k) => e.inputBuffer.getChannelData(k).slice()));
      source.connect(node);
      node.connect(context.destination); // which it leaves silent; else no block comes
      this.nodes.push(node);
    }
  }

  /** Lets go of the microphone and of what has been joined; a context of its own is closed. */
  private async close(): Promise<void> {
    this.holding.end();
    for (const t of this.stream.getTracks()) t.stop();
    for (const n of this.nodes) n.disconnect();
    this.port?.postMessage("end");
    if (this.own) await this.context.close();
  }

  /** Finds out when the first sample is heard: a mark beside the microphone is sounded to nobody. */
  mark(): void {
    if (!this.beside) return;
    const mark = this.context.createConstantSource();
    mark.connect(this.beside);
    this.marked = this.context.currentTime + 0.1;
    mark.start(this.marked);
    mark.stop(this.marked + 0.1);
  }

  private take([block, beside]: Float32Array[]): void {
    if (!block) return;
    const at = this.marked && beside && this.first === null ? beside.findIndex((v) => v !== 0) : -1;
    if (at >= 0) this.first = this.marked - (this.frames + at) / this.context.sampleRate;
    if (beside && !this.marked) this.besides.push(rounded(beside));
    this.blocks.push(rounded(block));
    this.samples += block.length;
    this.frames += block.length;
    this.holding.set(2 * this.samples);
    this.heard(this.frames / this.context.sampleRate, block.reduce((m, v) => Math.max(m, Math.abs(v)), 0));
  }

  /** The last seconds that were heard; what came before them is let go. */
  recent(seconds: number): { blocks: Int16Array[]; rate: number } {
    const most = seconds * this.context.sampleRate;
    while (this.blocks.length > 0 && this.samples - this.blocks[0]!.length >= most) this.samples -= this.blocks.shift()!.length;
    return { blocks: [...this.blocks], rate: this.context.sampleRate };
  }

  /** Ends the recording and gives what was heard, what stands beside it without a mark, and when the first sample was heard. */
  async end(): Promise<{ blocks: Int16Array[]; beside: Int16Array[]; rate: number; first: number | null }> {
    await this.close();
    return { blocks: this.blocks, beside: this.besides, rate: this.context.sampleRate, first: this.first };
  }
}
