// Where a cursor stands between marks whose times are known.

/** Where the cursor stands at a time of the take: between the plucks beside it when they are in one lane. */
export function place<L>(spots: { seconds: number; lane: L; x: number }[], seconds: number): { lane: L; x: number } | null {
  let i = -1;
  while (i + 1 < spots.length && spots[i + 1]!.seconds <= seconds) i++;
  const a = spots[i];
  if (!a) return null;
  const b = spots[i + 1];
  if (!b || b.lane !== a.lane || b.seconds <= a.seconds) return { lane: a.lane, x: a.x };
  return { lane: a.lane, x: a.x + ((b.x - a.x) * (seconds - a.seconds)) / (b.seconds - a.seconds) };
}
