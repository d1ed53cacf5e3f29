// Bringing tunes in: a file chosen or dropped anywhere on a page that takes one.

import { complain, Refused, tell } from "./site";

export function dropping(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-drop]");
  if (!form) return;
  const input = form.querySelector<HTMLInputElement>("input[type=file]");
  form.querySelector<HTMLElement>("[data-noscript]")?.setAttribute("hidden", "");
  input?.addEventListener("change", () => {
    if (input.files?.length) void bring(input.files);
    input.value = "";
  });
  let depth = 0;
  document.addEventListener("dragenter", (e) => {
    if (!e.dataTransfer?.types.includes("Files")) return;
    depth++;
    document.body.classList.add("dragging");
  });
  document.addEventListener("dragleave", () => {
    depth = Math.max(0, depth - 1);
    if (depth === 0) document.body.classList.remove("dragging");
  });
  document.addEventListener("dragover", (e) => e.preventDefault());
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    depth = 0;
    document.body.classList.remove("dragging");
    if (e.dataTransfer?.files.length) void bring(e.dataTransfer.files);
  });
}

async function bring(files: FileList): Promise<void> {
  const form = new FormData();
  for (const f of files) form.append("file", f, f.name);
  tell("Reading…");
  try {
    const res = await fetch("/tunes", { method: "POST", headers: { Accept: "application/json" }, body: form });
    const said = (await res.json().catch(() => ({}))) as { go?: string; error?: string; notes?: string[] };
    if (!res.ok || !said.go) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
    window.location.href = said.go;
  } catch (e) {
    complain(e);
  }
}
