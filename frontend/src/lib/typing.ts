/**
 * What is being typed into a field of the build and is not a change yet: one text at most. It lives here and not in the
 * field, so that no answer, no redrawing and no other place of the field on the page can lose it.
 *
 * typed                    the field's name, its text, and what makes it a change
 * typing(field, ...)       at every key; another field that was left half-typed is put first
 * putTyped(field?)         make it a change: when the field is left, on Enter, before a save and before the page goes
 * forgetTyped(field?)      drop it: Escape; without a field, when all changes are dropped
 * forgotten                goes up with each of these
 */
import { signal } from "@preact/signals";

export interface Typed {
  field: string;
  text: string;
  put: (text: string) => void;
}
export const typed = signal<Typed | null>(null);
export const forgotten = signal(0);

const isOf = (field: string | undefined) => field === undefined || typed.peek()?.field === field;

export function typing(field: string, text: string, put: (text: string) => void): void {
  if (!isOf(field)) putTyped();
  typed.value = { field, text, put };
}

export function putTyped(field?: string): void {
  const found = typed.peek();
  if (!found || !isOf(field)) return;
  typed.value = null;
  found.put(found.text);
}

export function forgetTyped(field?: string): void {
  if (isOf(field)) typed.value = null;
  if (field === undefined) forgotten.value++;
}
