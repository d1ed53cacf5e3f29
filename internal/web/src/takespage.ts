// Bringing takes in: recorded in the page, chosen, or dropped on it.

import { need } from "./dom";
import type { BroughtTake, Refusal } from "./forms";
import { PlayAlong, type PlayedAlong } from "./playalong";
import { capture } from "./program";
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
  let busy = false;
  const state = need<HTMLElement>("#take-state");
  const level = need<HTMLElement>("#level");
  const along = new PlayAlong(() => {
    if (recorder) throw new Error("A take is being recorded: stop that first.");
  });
  if (!button.disabled) need("#promise").before(along.element);

  const end = async (ended: Recorder): Promise<void> => {
    recorder = null;
    button.textContent = "Record";
    level.hidden = true;
    const { blocks, rate, first } = await ended.end();
    await send(wave(blocks, rate), "take.wav", state, along.end(first));
  };
  const begin = async (): Promise<void> => {
    state.textContent = along.wanted ? "Getting the music ready…" : "";
    const shared = along.wanted ? await along.ready(chosen("tune"), chosen("rig")) : null;
    const meter = need<HTMLMeterElement>("#meter");
    const clock = need<HTMLElement>("#clock");
    const begun = await Recorder.begin(capture(), (seconds, peak) => {
      meter.value = Math.max(peak, meter.value * 0.95);
      clock.textContent = `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
      if (seconds > Number(page.dataset["seconds"]) && recorder) end(recorder).catch(failed);
    }, undefined, shared);
    if (shared && !begun.beside) {
      await begun.end();
      throw new Error("This browser can't record by the clock that it sounds by: record without the music here.");
    }
    recorder = begun;
    begun.gone = () => void (recorder && end(recorder).catch(failed));
    state.textContent = "";
    button.textContent = "Stop and hear it";
    level.hidden = false;
    if (!shared) return;
    recorder.mark();
    along.start();
  };
  const record = async (): Promise<void> => {
    if (busy) return;
    busy = true;
    button.setAttribute("aria-disabled", "true");
    try {
      await (recorder ? end(recorder) : begin());
    } finally {
      busy = false;
      button.removeAttribute("aria-disabled");
    }
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

/** What is chosen on the page. */
function chosen(id: string): string {
  return need<HTMLInputElement | HTMLSelectElement>(`#${id}`).value;
}

async function send(bytes: ArrayBuffer, name: string, state: HTMLElement, played: PlayedAlong | null = null): Promise<void> {
  state.textContent = "Listening…";
  const of = played ? { tune: played.tune, rig: played.rig, revision: String(played.revision), along: JSON.stringify(played.along) } : { tune: chosen("tune"), rig: chosen("rig") };
  const query = new URLSearchParams({ name, ...of, player: chosen("player"), tuned: chosen("tuned") });
  const res = await fetch(`/takes?${query}`, { method: "POST", headers: { Accept: "application/json", "Content-Type": "application/octet-stream" }, body: bytes });
  const said = (await res.json().catch(() => ({}))) as Partial<BroughtTake & Refusal>;
  if (!res.ok || !said.go) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
  window.location.href = said.go;
}
