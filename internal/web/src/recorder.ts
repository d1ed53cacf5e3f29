// Recording in the page: the microphone's samples as they come, without what a browser
// does for speech.

import { need } from "./dom";

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
  private readonly blocks: Float32Array[] = [];
  private frames = 0;

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
    private readonly heard: (seconds: number, peak: number) => void,
  ) {}

  /**
   * Begins to record; heard is told how long it has gone on and how loud the last block was. capture is
   * where the worklet's script lies; without one, as on a page from disk, which is given no worklet, or in a browser
   * that has none, the older script node hands on the same samples, in blocks of so many.
   */
  static async begin(capture: string, heard: (seconds: number, peak: number) => void, block = scriptBlock): Promise<Recorder> {
    let stream: MediaStream | null = null;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
      return await Recorder.on(stream, capture, heard, block);
    } catch (e) {
      for (const t of stream?.getTracks() ?? []) t.stop();
      throw microphoneTrouble(e);
    }
  }

  /** Records a stream. */
  private static async on(stream: MediaStream, capture: string, heard: (seconds: number, peak: number) => void, block: number): Promise<Recorder> {
    const context = new AudioContext();
    const recorder = new Recorder(context, stream, heard);
    const source = context.createMediaStreamSource(stream);
    if (capture && context.audioWorklet) {
      await context.audioWorklet.addModule(capture);
      const node = new AudioWorkletNode(context, "capture", { numberOfInputs: 1, numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
      node.port.onmessage = (e: MessageEvent<Float32Array>) => recorder.take(e.data);
      source.connect(node);
    } else {
      await context.resume();
      const node = context.createScriptProcessor(block, 1, 1);
      node.onaudioprocess = (e) => recorder.take(e.inputBuffer.getChannelData(0).slice());
      source.connect(node);
      node.connect(context.destination); // which it leaves silent; else no block comes
    }
    return recorder;
  }

  private take(block: Float32Array): void {
    this.blocks.push(block);
    this.frames += block.length;
    this.heard(this.frames / this.context.sampleRate, block.reduce((m, v) => Math.max(m, Math.abs(v)), 0));
  }

  /** The last seconds that were heard; what came before them is let go. */
  recent(seconds: number): { blocks: Float32Array[]; rate: number } {
    const most = seconds * this.context.sampleRate;
    let held = this.blocks.reduce((n, b) => n + b.length, 0);
    while (this.blocks.length > 0 && held - this.blocks[0]!.length >= most) held -= this.blocks.shift()!.length;
    return { blocks: [...this.blocks], rate: this.context.sampleRate };
  }

  /** Ends the recording and gives what was heard. */
  async end(): Promise<{ blocks: Float32Array[]; rate: number }> {
    for (const t of this.stream.getTracks()) t.stop();
    const rate = this.context.sampleRate;
    await this.context.close();
    return { blocks: this.blocks, rate };
  }
}
