// A take on the sheet: its sound with a cursor over the pitch curve, to be heard from
// any note. The lanes' groups say when in the take each pluck was heard.

import { need } from "./dom";
import { reveal } from "./follow";
import { place } from "./place";
import type { TakeSound } from "./takesound";

const svgNS = "http://www.w3.org/2000/svg";

/** A pluck that was heard: when, and where in which lane. */
interface Spot {
  seconds: number;
  lane: SVGGElement;
  x: number;
}

export class TakeView {
  private readonly forms: HTMLElement[];
  private spots: Spot[] = [];
  private shown: HTMLElement | undefined;
  private line: SVGPathElement | null = null;
  private lane: SVGGElement | null = null;
  /** Called with the index of the note that was tapped. */
  onNote: (note: number) => void = () => undefined;

  constructor(
    private readonly root: HTMLElement,
    private readonly audio: TakeSound = need<HTMLAudioElement>("audio", root),
  ) {
    this.forms = [...root.querySelectorAll<HTMLElement>(".wide-sheet, .narrow-sheet")];
    root.addEventListener("click", (e) => this.tapped(e));
    const tick = (): void => {
      this.follow();
      if (!this.audio.paused) requestAnimationFrame(tick);
    };
    this.audio.addEventListener("play", tick);
    this.audio.addEventListener("seeked", () => this.follow());
  }

  /** Plays the take from a time on. */
  from(seconds: number): void {
    this.audio.currentTime = Math.max(0, seconds - leadIn);
    void this.audio.play();
  }

  private tapped(e: MouseEvent): void {
    const at = e.target as Element;
    const button = at.closest<HTMLElement>("[data-from]");
    if (button) {
      this.from(Number(button.dataset["from"]));
      this.say(button.dataset["at"]);
      return;
    }
    const group = at.closest<SVGGElement>("g.played, g.extra") ?? this.nearest(e);
    if (!group) return;
    this.from(Number(group.dataset["seconds"]));
    this.say(group.dataset["note"]);
  }

  /** Says what is known of a note. */
  private say(note: string | undefined): void {
    if (note === undefined) return;
    const says = this.root.querySelectorAll(".notes li span")[Number(note)];
    if (says) need(".this-note", this.root).textContent = says.textContent;
    this.onNote(Number(note));
  }

  /** The note of a lane that was tapped nearest to: marks are small. */
  private nearest(e: MouseEvent): SVGGElement | null {
    const lane = (e.target as Element).closest<SVGGElement>("g.take");
    let best: SVGGElement | null = null;
    let least = 24;
    for (const g of lane?.querySelectorAll<SVGGElement>("g.played") ?? []) {
      const box = g.getBoundingClientRect();
      const off = Math.max(box.left - e.clientX, 0, e.clientX - box.right);
      if (off < least) {
        least = off;
        best = g;
      }
    }
    return best;
  }

  /** Where plucks stand on the form of the sheet that is displayed. */
  private look(): void {
    const form = this.forms.find((f) => f.getClientRects().length > 0);
    if (form === this.shown && this.spots.length > 0) return; // it may still be being drawn
    this.shown = form;
    this.line?.remove();
    this.line = null;
    this.spots = [...(form?.querySelectorAll<SVGGElement>("g.heard[data-seconds]") ?? [])].map((g) => {
      const box = g.getBBox();
      return { seconds: Number(g.dataset["seconds"]), lane: g.closest<SVGGElement>("g.take")!, x: box.x + box.width / 2 };
    });
    this.spots.sort((a, b) => a.seconds - b.seconds);
  }

  private follow(): void {
    this.look();
    const at = place(this.spots, this.audio.currentTime);
    if (!at) {
      this.line?.remove();
      this.line = null;
      return;
    }
    const box = at.lane.getBBox();
    if (!this.line || this.line.parentNode !== at.lane) {
      this.line?.remove();
      this.line = document.createElementNS(svgNS, "path");
      this.line.setAttribute("class", "take-cursor");
    }
    this.line.setAttribute("d", `M${at.x} ${box.y}V${box.y + box.height}`);
    at.lane.append(this.line);
    if (at.lane !== this.lane && !this.audio.paused) {
      const seen = at.lane.getBoundingClientRect();
      reveal(seen.top, seen.bottom);
    }
    this.lane = at.lane;
  }
}

/** How long before a note the take is heard from, in seconds. */
const leadIn = 0.15;
