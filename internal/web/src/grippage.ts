// Hearing grips: each button sounds the grip that it carries.

import { complain } from "./site";

export function gripPage(): void {
  let context: AudioContext | null = null;
  let sounding: AudioBufferSourceNode | null = null;
  for (const button of document.querySelectorAll<HTMLButtonElement>("button[data-hear]")) {
    button.addEventListener("click", () => {
      hear(button.dataset["hear"] ?? "").catch(complain);
    });
  }

  async function hear(grip: string): Promise<void> {
    context ??= new AudioContext();
    void context.resume();
    const res = await fetch(`/grips/sound?grip=${encodeURIComponent(grip)}`);
    if (!res.ok) throw new Error("This grip could not be sounded.");
    const buffer = await context.decodeAudioData(await res.arrayBuffer());
    sounding?.stop();
    sounding = context.createBufferSource();
    sounding.buffer = buffer;
    sounding.connect(context.destination);
    sounding.start();
  }
}
