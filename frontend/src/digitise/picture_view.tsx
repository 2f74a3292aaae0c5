/** The picture with everything on it: wheel and keys zoom, drag pans or moves a point, click or Enter sets one. */
import { useEffect, useRef, useState } from "preact/hooks";
import { inks } from "../lib/inks";
import { draw } from "./drawing";
import { nearest, type Place } from "./geometry";
import { chosenPlace, deletePoint, movePoint, nextPoint, place, valueWords } from "./placing";
import { axes, chosen, cross, endOfJoin, fit, picture, reading, redo, step, undo } from "./reading";
import { pan, seek, sheet, toPicture, view, whole, zoom } from "./view";

const NEAR = 9;
const ARROWS: Record<string, Place> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const HELP =
  "Arrow keys move the cross by a pixel of the picture, with Shift by ten, with Alt by a tenth. Enter sets a point there. " +
  "Comma and full stop go through the points; a chosen point is moved by the arrow keys and taken out by Delete. Escape lets it go. " +
  "Plus, minus and 0 zoom.";

export function PictureView() {
  const canvas = useRef<HTMLCanvasElement>(null);
  const box = useRef<HTMLDivElement>(null);
  const [over, setOver] = useState(false);
  const grip = useRef<{ x: number; y: number; at: Place | null; moved: boolean } | null>(null);

  useEffect(() => {
    const measure = () => {
      const width = box.current?.clientWidth ?? 800;
      sheet.value = { width, height: Math.max(320, Math.min(window.innerHeight - 190, 0.8 * width)) };
      const now = reading.peek();
      if (now) whole(now.picture.width, now.picture.height);
    };
    measure();
    const observer = new ResizeObserver(measure);
    if (box.current) observer.observe(box.current);
    return () => observer.disconnect();
  }, [reading.value?.name]);

  const now = reading.value;
  const { width, height } = sheet.value;
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context || !now || !picture.value) return;
    const dense = window.devicePixelRatio || 1;
    context.setTransform(dense, 0, 0, dense, 0, 0);
    const crossShown = step.value <= 2 && step.value >= 1 && (over || document.activeElement === canvas.current);
    draw(context, { picture: picture.value, reading: now, chosen: chosen.value, cross: cross.value, crossShown, axes: axes.value, fit: fit.value, step: step.value, inks: inks.value });
  });
  // read in the effect above: named here so that this component follows them
  void [view.value, cross.value, chosen.value, axes.value, fit.value, step.value, inks.value, picture.value];

  useEffect(() => {
    const turn = (event: WheelEvent) => {
      event.preventDefault();
      const bounds = canvas.current?.getBoundingClientRect();
      if (bounds) zoom(Math.exp(-event.deltaY / 500), event.clientX - bounds.left, event.clientY - bounds.top);
    };
    const element = canvas.current;
    element?.addEventListener("wheel", turn, { passive: false });
    return () => element?.removeEventListener("wheel", turn);
  }, []);

  const at = (event: PointerEvent): Place => {
    const bounds = canvas.current?.getBoundingClientRect();
    return toPicture(event.clientX - (bounds?.left ?? 0), event.clientY - (bounds?.top ?? 0));
  };
  const down = (event: PointerEvent) => {
    if (event.button > 1) return;
    canvas.current?.setPointerCapture(event.pointerId);
    const here = at(event);
    const reach = NEAR / view.value.scale;
    let held: Place | null = null;
    if (step.value === 1) {
      const mark = nearest((now?.marks ?? []).map((one) => one.pixel), here, reach);
      if (mark >= 0) {
        chosen.value = { stroke: -1, point: mark };
        held = here;
      }
    } else if (step.value === 2 && chosen.value.stroke >= 0) {
      const point = nearest(now?.strokes[chosen.value.stroke]?.points ?? [], here, reach);
      if (point >= 0) {
        chosen.value = { stroke: chosen.value.stroke, point };
        held = here;
      }
    }
    grip.current = { x: event.clientX, y: event.clientY, at: held, moved: false };
  };
  const move = (event: PointerEvent) => {
    const here = at(event);
    const hold = grip.current;
    cross.value = here;
    if (!hold) return;
    if (!hold.moved && Math.hypot(event.clientX - hold.x, event.clientY - hold.y) < 4) return;
    if (hold.at) movePoint(here, "drag");
    else pan(event.clientX - hold.x, event.clientY - hold.y);
    if (!hold.at || hold.moved) Object.assign(hold, { x: event.clientX, y: event.clientY });
    hold.moved = true;
  };
  const up = (event: PointerEvent) => {
    const hold = grip.current;
    grip.current = null;
    endOfJoin();
    if (hold && !hold.moved && event.type === "pointerup") place(at(event));
  };
  const key = (event: KeyboardEvent) => {
    const way = ARROWS[event.key];
    const control = event.ctrlKey || event.metaKey;
    if (control && event.key.toLowerCase() === "z") (event.shiftKey ? redo : undo)();
    else if (control && event.key.toLowerCase() === "y") redo();
    else if (control) return;
    else if (way) {
      const by = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
      const own = chosenPlace();
      const from = own ?? cross.value;
      const to: Place = [
        Math.min(Math.max(from[0] + by * way[0], 0), now?.picture.width ?? 0),
        Math.min(Math.max(from[1] + by * way[1], 0), now?.picture.height ?? 0),
      ];
      if (own && step.value <= 2) movePoint(to, "arrows");
      cross.value = to;
      seek(to);
    } else if (event.key === "Enter" || event.key === " ") {
      if (chosenPlace()) chosen.value = { ...chosen.value, point: -1 };
      else place(cross.value);
    } else if (event.key === "Delete" || event.key === "Backspace") deletePoint();
    else if (event.key === "Escape") chosen.value = { ...chosen.value, point: -1 };
    else if (event.key === "." || event.key === ",") nextPoint(event.key === "." ? 1 : -1);
    else if (event.key === "+" || event.key === "=") zoom(1.25);
    else if (event.key === "-") zoom(0.8);
    else if (event.key === "0" && now) whole(now.picture.width, now.picture.height);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  const dense = typeof window === "undefined" ? 1 : window.devicePixelRatio || 1;
  const [u, v] = cross.value;
  return (
    <div class="dig-picture">
      <div class="dig-sheet" ref={box}>
        <canvas
          ref={canvas}
          width={Math.round(width * dense)}
          height={Math.round(height * dense)}
          style={{ width: `${width}px`, height: `${height}px` }}
          tabIndex={0}
          role="application"
          aria-label="Picture being read"
          aria-describedby="dig-help"
          onPointerDown={down}
          onPointerMove={move}
          onPointerUp={up}
          onPointerCancel={up}
          onPointerEnter={() => setOver(true)}
          onPointerLeave={() => setOver(false)}
          onFocus={() => setOver(true)}
          onBlur={() => setOver(false)}
          onKeyDown={key}
        />
      </div>
      <p class="dig-bar">
        <button type="button" onClick={() => zoom(1.25)}>Zoom in</button>
        <button type="button" onClick={() => zoom(0.8)}>Zoom out</button>
        <button type="button" onClick={() => now && whole(now.picture.width, now.picture.height)}>Whole picture</button>
        <span class="number">
          {u.toFixed(1)}, {v.toFixed(1)} pixels{axes.value ? `; ${valueWords(cross.value)}` : ""}
        </span>
      </p>
      <p class="note" id="dig-help">{HELP}</p>
    </div>
  );
}
