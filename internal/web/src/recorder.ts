// Recording in the page: the microphone's samples as they come, without what a browser
// does for speech.

/** Why this page can't record, in a sentence; "" when it can. */
export function whyNot(): string {
  if (!window.isSecureContext) {
    return "Recording here needs this machine's own address (localhost) or an encrypted one (https): over plain HTTP a browser gives no microphone. Record with another program and choose the file.";
  }
  if (!navigator.mediaDevices || !("AudioWorklet" in window)) return "This browser can't record in a page. Record with another program and choose the file.";
  return "";
}

export class Recorder {
  private readonly blocks: Float32Array[] = [];
  private frames = 0;

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
    node: AudioWorkletNode,
    heard: (seconds: number, peak: number) => void,
  ) {
    node.port.onmessage = (e: MessageEvent<Float32Array>) => {
      this.blocks.push(e.data);
      this.frames += e.data.length;
      heard(this.frames / context.sampleRate, e.data.reduce((m, v) => Math.max(m, Math.abs(v)), 0));
    };
  }

  /** Begins to record; heard is told how long it has gone on and how loud the last block was. */
  static async begin(capture: string, heard: (seconds: number, peak: number) => void): Promise<Recorder> {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
    const context = new AudioContext();
    await context.audioWorklet.addModule(capture);
    const node = new AudioWorkletNode(context, "capture", { numberOfInputs: 1, numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
    const recorder = new Recorder(context, stream, node, heard);
    context.createMediaStreamSource(stream).connect(node);
    return recorder;
  }

  /** Ends the recording and gives what was heard. */
  async end(): Promise<{ blocks: Float32Array[]; rate: number }> {
    for (const t of this.stream.getTracks()) t.stop();
    const rate = this.context.sampleRate;
    await this.context.close();
    return { blocks: this.blocks, rate };
  }
}
