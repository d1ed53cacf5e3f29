/** How far a pitch is off, in words. */
export function offText(cents: number): string {
  if (Math.abs(cents) < 1) return "in tune";
  const c = Math.abs(cents).toFixed(0);
  return `${c} ${c === "1" ? "cent" : "cents"} ${cents > 0 ? "sharp" : "flat"}`;
}
