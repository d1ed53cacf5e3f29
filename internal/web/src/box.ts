// Boxes on a drawing, in its own units, y downwards.

/**
 * What every browser's boxes have in common. A box that SVG gives has nothing
 * more: no right and no bottom.
 */
export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** The smallest box round all that have a size; null when none has one. */
export function union(boxes: readonly Box[]): Box | null {
  const sized = boxes.filter((b) => b.width > 0 || b.height > 0);
  if (sized.length === 0) return null;
  const x = Math.min(...sized.map((b) => b.x));
  const y = Math.min(...sized.map((b) => b.y));
  const right = Math.max(...sized.map((b) => b.x + b.width));
  const bottom = Math.max(...sized.map((b) => b.y + b.height));
  return { x, y, width: right - x, height: bottom - y };
}

/** A box with a margin on all sides. */
export function padded(b: Box, by: number): Box {
  return { x: b.x - by, y: b.y - by, width: b.width + 2 * by, height: b.height + 2 * by };
}
