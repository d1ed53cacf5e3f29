// What runs beside the page while it records: it hands on every block of samples.

declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void;

registerProcessor(
  "capture",
  class extends AudioWorkletProcessor {
    process(inputs: Float32Array[][]): boolean {
      const block = inputs[0]?.[0];
      if (block) this.port.postMessage(block.slice());
      return true;
    }
  },
);
