// A tuner for the strings of one instrument: what the microphone hears is looked at in the page piece by
// piece, and each string's needle shows how it stood last.

import type { Core } from "./core";
import { h } from "./dom";
import type { Open } from "./forms";
import { Looks } from "./looks";
import { needles, show } from "./needles";
import { whyNot } from "./recorder";

/** How much of the sound is looked at each time, in seconds, and how long it rests, in milliseconds. */
const lookSeconds = 1.2;
const restMs = 120;
const label = "Listen to my strings";

/** Hears how open strings stand. What else is asked of its core, a review among it, goes first. */
export interface StringEar {
  core: Core;
  /** Where the worklet that records lies; "" where there is none. */
  capture: string;
  /** The instrument's file, and how it is meant to be tuned. */
  of: () => { rig: string; tuned: string };
  /** Stops what else sounds. */
  hush: () => void;
}

/** How the open strings can be meant to be tuned, as a choice. */
export function tunedChoice(): HTMLSelectElement {
  const ways = [["equal", "equal"], ["just", "just to the open chord"], ["between", "between the two"]] as const;
  return h("select", {}, ...ways.map(([value, words]) => h("option", { value }, words)));
}

/** The strings, heard live, a needle each. */
export function heardStrings(strings: { number: number; name: string }[], ear: StringEar): { elements: HTMLElement[]; looks: Looks } {
  const rows = needles(strings);
  rows.hidden = true;
  const said = h("p", { class: "small", role: "status" }, "What you play is heard in this page. Nothing is sent anywhere.");
  const looks = new Looks(ear.capture, lookSeconds, async (blocks, rate) => {
    show(rows, (await ear.core.spare<Open>({ what: "strings", ...ear.of() }, blocks, rate))?.strings ?? []);
  }, (e) => { said.textContent = e instanceof Error ? e.message : String(e); }, restMs);
  looks.onEnd = () => { button.textContent = label; };
  const button = h("button", { type: "button", onclick: () => {
    ear.hush();
    said.textContent = "";
    void looks.toggle().then((on) => {
      if (!on) return;
      rows.hidden = false;
      button.textContent = "Stop listening";
      said.textContent = "Pluck one string after the other. Nothing is sent anywhere.";
    });
  } }, label);
  const why = whyNot();
  button.disabled = why !== "";
  if (why) said.textContent = why;
  return { elements: [h("p", { class: "own-do" }, button), said, rows], looks };
}
