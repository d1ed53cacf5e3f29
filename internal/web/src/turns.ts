// Long work in the page's own thread, done little by little: the page goes on meanwhile.

/** For how long a stretch of work keeps the page from all else, in milliseconds. */
const turnMs = 20;

/** Lets the page do what else waits. A timer would wait for some milliseconds besides, where one has followed another. */
export function othersFirst(): Promise<void> {
  return new Promise((go) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      go();
    };
    port2.postMessage(null);
  });
}

/** How long a page that is not seen waits for what it would paint, in milliseconds. */
const unseenMs = 100;

/** The browser's own turns by weight, where it has them (W3C, Prioritized Task Scheduling, section 2.1). */
interface Weighed {
  scheduler?: { postTask(work: () => void, o: { priority: "user-blocking" }): Promise<void> };
}

/** Lets the page hear who uses it; what would only be painted waits, for a tenth of a second at most. */
export function inputFirst(): Promise<void> {
  return (globalThis as Weighed).scheduler?.postTask(() => {}, { priority: "user-blocking" }) ?? othersFirst();
}

/** Lets the page paint what has been made: the next frame paints it, and is seen when another begins. */
export function painted(): Promise<void> {
  return new Promise((go) => {
    window.setTimeout(go, unseenMs);
    window.requestAnimationFrame(() => window.requestAnimationFrame(() => void othersFirst().then(go)));
  });
}

/** Work that is done in stretches. */
export class Turns {
  private began = performance.now();

  /** rest ends each stretch. */
  constructor(private readonly rest = othersFirst) {}

  /** To be awaited after each of its steps: lets the page do what else waits, where it has waited long enough. */
  async step(): Promise<void> {
    if (performance.now() - this.began < turnMs) return;
    await this.rest();
    this.began = performance.now();
  }
}
