// A tuner for the strings of one instrument: what the microphone hears goes to the
// program piece by piece, and each string's needle shows how it stood last.

import { need } from "./dom";
import type { Open, Refusal } from "./forms";
import { Looks } from "./looks";
import { show } from "./needles";
import { microphoneTrouble, sayWhyNot } from "./recorder";
import { complain, Refused } from "./site";
import { wave } from "./wave";

/** How much of the sound is looked at each time, in seconds. */
const lookSeconds = 1.2;

/** The tuner of a page of the workbench, whose program listens. */
export function tuner(page: HTMLElement): void {
  const button = document.querySelector<HTMLButtonElement>("#tuner");
  if (!button) return;
  sayWhyNot(button);
  const list = need<HTMLElement>("#needles");
  const ask = async (blocks: Float32Array[], rate: number): Promise<void> => {
    const query = new URLSearchParams(window.location.search);
    query.set("way", need<HTMLSelectElement>("#way").value);
    const res = await fetch(`${window.location.pathname.replace(/pegs$/, "open")}?${query}`, {
      method: "POST", headers: { Accept: "application/json", "Content-Type": "application/octet-stream" }, body: wave(blocks, rate),
    });
    const said = (await res.json().catch(() => ({}))) as Partial<Open & Refusal>;
    if (!res.ok) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
    show(list, said.strings ?? []);
  };
  const looks = new Looks(page.dataset["capture"]!, lookSeconds, ask, (e) => complain(microphoneTrouble(e)));
  button.addEventListener("click", () => void looks.toggle().then((on) => {
    button.textContent = on ? "Stop listening" : "Listen to my strings";
    if (on) list.hidden = false;
  }));
  looks.onEnd = () => { button.textContent = "Listen to my strings"; };
}
