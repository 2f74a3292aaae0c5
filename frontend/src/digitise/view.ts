/** What of the picture is seen: zoom and pan, and where screen and picture meet. */
import { signal } from "@preact/signals";
import type { Place } from "./geometry";

export interface View {
  /** Screen pixels of one of the picture's. */
  scale: number;
  /** Screen place of the picture's upper left corner. */
  x: number;
  y: number;
}
export const view = signal<View>({ scale: 1, x: 0, y: 0 });
export const sheet = signal({ width: 800, height: 560 });

export const toScreen = ([x, y]: Place): Place => [view.value.x + x * view.value.scale, view.value.y + y * view.value.scale];
export const toPicture = (x: number, y: number): Place => [(x - view.value.x) / view.value.scale, (y - view.value.y) / view.value.scale];

/** The whole picture in the window. */
export function whole(width: number, height: number): void {
  const scale = 0.94 * Math.min(sheet.value.width / width, sheet.value.height / height);
  view.value = { scale, x: (sheet.value.width - scale * width) / 2, y: (sheet.value.height - scale * height) / 2 };
}

/** Larger or smaller about a place of the screen. */
export function zoom(factor: number, x = sheet.value.width / 2, y = sheet.value.height / 2): void {
  const [u, v] = toPicture(x, y);
  const scale = Math.min(24, Math.max(0.05, view.value.scale * factor));
  view.value = { scale, x: x - u * scale, y: y - v * scale };
}

export function pan(dx: number, dy: number): void {
  view.value = { ...view.value, x: view.value.x + dx, y: view.value.y + dy };
}

/** Move the window so that a place is seen. */
export function seek(place: Place): void {
  const [x, y] = toScreen(place);
  const room = 40;
  const dx = x < room ? room - x : x > sheet.value.width - room ? sheet.value.width - room - x : 0;
  const dy = y < room ? room - y : y > sheet.value.height - room ? sheet.value.height - room - y : 0;
  if (dx || dy) pan(dx, dy);
}
