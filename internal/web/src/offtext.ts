/** How far a pitch is off, in words. */
export function offText(cents: number): string {
  if (Math.abs(cents) < 1) return "in tune";
  return `${Math.abs(cents).toFixed(0)} cents ${cents > 0 ? "sharp" : "flat"}`;
}
