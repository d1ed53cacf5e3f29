// Bringing takes in: recorded in the page, chosen, or dropped on it.

import { need } from "./dom";
import type { BroughtTake, Refusal } from "./forms";
import { Recorder, sayWhyNot } from "./recorder";
import { complain, Refused } from "./site";
import { channelOf, wave } from "./wave";

/** What the program reads by itself; the page decodes the rest. */
const readHere = /\.(wav|flac|mp3|opus|take\.zip)$/i;

export function takesPage(page: HTMLElement): void {
  const button = document.querySelector<HTMLButtonElement>("#record");
  if (!button) return;
  const file = need<HTMLInputElement>("#take-file");
  sayWhyNot(button);
  let recorder: Recorder | null = null;
  const state = need<HTMLElement>("#take-state");
  const level = need<HTMLElement>("#level");

  const record = async (): Promise<void> => {
    if (recorder) {
      const ended = recorder;
      recorder = null;
      button.textContent = "Record";
      level.hidden = true;
      const { blocks, rate } = await ended.end();
      await send(wave(blocks, rate), "take.wav", state);
      return;
    }
    state.textContent = "";
    const meter = need<HTMLMeterElement>("#meter");
    const clock = need<HTMLElement>("#clock");
    recorder = await Recorder.begin(document.body.dataset["capture"]!, (seconds, peak) => {
      meter.value = Math.max(peak, meter.value * 0.95);
      clock.textContent = `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
      if (seconds > Number(page.dataset["seconds"]) && recorder) record().catch(failed);
    });
    button.textContent = "Stop and hear it";
    level.hidden = false;
  };
  const failed = (e: unknown): void => {
    state.textContent = "";
    complain(e);
  };
  button.addEventListener("click", () => void record().catch(failed));
  file.addEventListener("change", () => {
    const f = file.files?.[0];
    file.value = "";
    if (f) bring(f, state).catch(failed);
  });
  document.addEventListener("dragover", (e) => e.preventDefault());
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    const f = e.dataTransfer?.files[0];
    if (f) bring(f, state).catch(failed);
  });
}

/** Sends a file as it is when the program reads its kind, else as the browser decodes it. */
async function bring(f: File, state: HTMLElement): Promise<void> {
  if (readHere.test(f.name)) return send(await f.arrayBuffer(), f.name, state);
  state.textContent = "Reading…";
  const context = new AudioContext();
  let heard: AudioBuffer;
  try {
    heard = await context.decodeAudioData(await f.arrayBuffer());
  } catch {
    throw new Error(`${f.name} is no recording that this browser or Lapwright can read: use WAVE, FLAC, MP3 or Opus.`);
  } finally {
    void context.close();
  }
  await send(wave([await channelOf(heard, 0)], heard.sampleRate), f.name, state);
}

async function send(bytes: ArrayBuffer, name: string, state: HTMLElement): Promise<void> {
  state.textContent = "Listening…";
  const of = (id: string): string => need<HTMLInputElement | HTMLSelectElement>(`#${id}`).value;
  const query = new URLSearchParams({ name, tune: of("tune"), rig: of("rig"), player: of("player"), tuned: of("tuned") });
  const res = await fetch(`/takes?${query}`, { method: "POST", headers: { Accept: "application/json", "Content-Type": "application/octet-stream" }, body: bytes });
  const said = (await res.json().catch(() => ({}))) as Partial<BroughtTake & Refusal>;
  if (!res.ok || !said.go) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
  window.location.href = said.go;
}
