// What runs beside the page while it records: it hands on every block of samples, what the
// microphone hears and what is recorded beside it.

declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void;

registerProcessor(
  "capture",
  class extends AudioWorkletProcessor {
    private over = false;

    constructor() {
      super();
      this.port.onmessage = () => (this.over = true); // nobody listens any more
    }

    process(inputs: Float32Array[][]): boolean {
      const channels = inputs[0] ?? [];
      if (channels.length > 0) this.port.postMessage(channels.map((c) => c.slice()));
      return !this.over;
    }
  },
);

export {};
