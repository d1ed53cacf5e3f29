// A tuner for the strings of one instrument: what the microphone hears goes to the
// program piece by piece, and each string's needle shows how it stood last.

import { need } from "./dom";
import type { Open, Refusal } from "./forms";
import { microphoneTrouble, Recorder, sayWhyNot } from "./recorder";
import { complain, Refused } from "./site";
import { wave } from "./wave";

/** How much of the sound is looked at each time, in seconds, and how long to wait after each answer. */
const lookSeconds = 1.2;
const restMs = 250;
/** How many cents the needle's end is away. */
const reachCents = 50;
/** From where on a string is heard as out of tune. */
const heardCents = 5;

export function tuner(page: HTMLElement): void {
  const button = document.querySelector<HTMLButtonElement>("#tuner");
  if (!button) return;
  sayWhyNot(button);
  let recorder: Recorder | null = null;
  const needles = need<HTMLElement>("#needles");

  const look = async (): Promise<void> => {
    const now = recorder;
    if (!now) return;
    const { blocks, rate } = now.recent(lookSeconds);
    if (blocks.reduce((n, b) => n + b.length, 0) > 0.6 * rate) {
      const query = new URLSearchParams(window.location.search);
      query.set("way", need<HTMLSelectElement>("#way").value);
      const res = await fetch(`${window.location.pathname.replace(/pegs$/, "open")}?${query}`, {
        method: "POST", headers: { Accept: "application/json", "Content-Type": "application/octet-stream" }, body: wave(blocks, rate),
      });
      const said = (await res.json().catch(() => ({}))) as Partial<Open & Refusal>;
      if (!res.ok) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
      show(needles, said.strings ?? []);
    }
    window.setTimeout(() => void look().catch(failed), restMs);
  };
  const stop = async (): Promise<void> => {
    const ended = recorder;
    recorder = null;
    button.textContent = "Listen to my strings";
    await ended?.end();
  };
  const failed = (e: unknown): void => {
    void stop();
    complain(microphoneTrouble(e));
  };
  button.addEventListener("click", () => {
    if (recorder) {
      void stop().catch(complain);
      return;
    }
    Recorder.begin(page.dataset["capture"]!, () => undefined).then((r) => {
      recorder = r;
      button.textContent = "Stop listening";
      needles.hidden = false;
      return look();
    }).catch(failed);
  });
}

function show(needles: HTMLElement, strings: Open["strings"]): void {
  for (const s of strings) {
    const row = needles.querySelector<HTMLElement>(`[data-string="${s.string}"]`);
    if (!row || s.cents === null || s.cents === undefined) continue;
    const c = Math.round(s.cents);
    row.dataset["stands"] = Math.abs(c) <= heardCents ? "tune" : c > 0 ? "sharp" : "flat";
    need<HTMLElement>(".needle span", row).style.left = `${50 + (50 * Math.max(-reachCents, Math.min(reachCents, c))) / reachCents}%`;
    const words = Math.abs(c) <= heardCents ? "\u25CF in tune" : c > 0 ? `\u25B2 ${c} cents sharp: let it down` : `\u25BC ${-c} cents flat: raise it`;
    need<HTMLElement>(".stands", row).textContent = words;
  }
}
