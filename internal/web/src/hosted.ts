// A lesson on a web space is kept on the device by its service worker: it opens without
// the network, and a newer form of it is offered when it has come whole.

import { h } from "./dom";

/** Has the lesson kept; offer puts a line where the student sees it. */
export async function keepLesson(script: string, offer: (line: HTMLElement) => void): Promise<void> {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) return;
  const workers = navigator.serviceWorker;
  const known = workers.controller !== null;
  let offered = false;
  const waits = (worker: ServiceWorker | null): void => {
    if (!worker || !known || offered) return;
    offered = true;
    offer(h("p", { class: "last-time", role: "status" }, h("span", {}, "There is a newer form of this lesson."), " ",
      h("button", { type: "button", onclick: () => {
        workers.addEventListener("controllerchange", () => window.location.reload(), { once: true });
        worker.postMessage("now");
      } }, "Show it")));
  };
  try {
    const kept = await workers.register(script, { updateViaCache: "none" });
    const follow = (coming: ServiceWorker | null): void => {
      const look = (): void => { if (coming?.state === "installed") waits(coming); };
      coming?.addEventListener("statechange", look);
      look();
    };
    waits(kept.waiting);
    follow(kept.installing); // the browser may have looked for a newer form by itself when the page was opened
    kept.addEventListener("updatefound", () => follow(kept.installing));
  } catch {
    // A browser that keeps nothing shows the lesson from the network.
  }
}
