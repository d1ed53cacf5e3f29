// Names of notes as they are printed.

/** "F#4", or several such, with typographic accidentals. */
export function pretty(name: string): string {
  return name.replaceAll("##", "𝄪").replaceAll("#", "♯").replace(/(?<=\b[A-G])bb/g, "𝄫").replace(/(?<=\b[A-G])b/g, "♭");
}

/** A number of things: "1 bar", "3 bars". */
export function count(n: number, thing: string): string {
  return `${n} ${thing}${n === 1 ? "" : "s"}`;
}

/** With a capital letter in front. */
export function capital(s: string): string {
  return s.charAt(0).toUpperCase() + s.slice(1);
}
