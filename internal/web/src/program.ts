// The core for a page of the workbench: its program is brought from the site when it is first asked, and
// what the page hears stays in the page.

import { Core, Program } from "./core";

/** Where the worklet that records lies. */
export const capture = (): string => document.body.dataset["capture"] ?? "";

let core: Core | null = null;

/** The one core of a page. */
export function siteCore(): Core {
  if (!core) {
    const { worker, program } = document.body.dataset;
    const whole = new Program(async () => (await brought(program!)).arrayBuffer(), async () => (await brought(worker!)).text(), "");
    core = new Core(() => whole.start());
  }
  return core;
}

async function brought(from: string): Promise<Response> {
  const came = await fetch(from).catch(() => null);
  if (!came?.ok) throw new Error("What listens does not come from where this page lies. Is Lapwright still running?");
  return came;
}
