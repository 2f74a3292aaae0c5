/**
 * One drawing, two papers: the same calls draw on a canvas (screen, PNG) and write SVG. Coordinates are CSS pixels,
 * y down. Only what the pictures need.
 */

export interface Stroke {
  ink: string;
  width?: number;
  dash?: readonly number[];
}
export interface Letters {
  ink: string;
  size?: number;
  weight?: number;
  align?: "left" | "center" | "right";
  /** A ground colour drawn round the letters, so that they read over lines. */
  halo?: string;
  /** Degrees, clockwise, round the anchor. */
  turn?: number;
}
/** Points of a line; null is a gap. */
export type Points = readonly (readonly [x: number, y: number] | null)[];

export interface Surface {
  line(points: Points, stroke: Stroke): void;
  fill(rings: readonly Points[], ink: string, opacity?: number): void;
  text(x: number, y: number, words: string, letters: Letters): void;
  mark(x: number, y: number, shape: Mark, size: number, stroke: Stroke, fill?: string): void;
  /** Everything drawn inside `draw` is cut at the box. */
  clip(x: number, y: number, width: number, height: number, draw: () => void): void;
}
export type Mark = "circle" | "square" | "diamond" | "triangle" | "cross";

export const FONT = 'system-ui, "Segoe UI", "DejaVu Sans", sans-serif';

function corners(x: number, y: number, shape: Mark, size: number): Points {
  if (shape === "square") return [[x - size, y - size], [x + size, y - size], [x + size, y + size], [x - size, y + size], [x - size, y - size]];
  if (shape === "diamond") return [[x, y - size], [x + size, y], [x, y + size], [x - size, y], [x, y - size]];
  if (shape === "triangle") return [[x, y - size], [x + size, y + size], [x - size, y + size], [x, y - size]];
  return [[x - size, y - size], [x + size, y + size], null, [x - size, y + size], [x + size, y - size]];
}

export class CanvasSurface implements Surface {
  constructor(readonly context: CanvasRenderingContext2D) {}

  #path(points: Points): void {
    const { context } = this;
    let open = false;
    for (const point of points) {
      if (!point) open = false;
      else if (open) context.lineTo(point[0], point[1]);
      else {
        context.moveTo(point[0], point[1]);
        open = true;
      }
    }
  }

  line(points: Points, { ink, width = 1, dash = [] }: Stroke): void {
    const { context } = this;
    context.beginPath();
    this.#path(points);
    context.strokeStyle = ink;
    context.lineWidth = width;
    context.lineJoin = "round";
    context.setLineDash([...dash]);
    context.stroke();
    context.setLineDash([]);
  }

  fill(rings: readonly Points[], ink: string, opacity = 1): void {
    const { context } = this;
    context.beginPath();
    for (const ring of rings) {
      this.#path(ring);
      context.closePath();
    }
    context.globalAlpha = opacity;
    context.fillStyle = ink;
    context.fill("evenodd");
    context.globalAlpha = 1;
  }

  text(x: number, y: number, words: string, { ink, size = 12, weight = 400, align = "left", halo, turn = 0 }: Letters): void {
    const { context } = this;
    context.save();
    context.translate(x, y);
    if (turn) context.rotate((turn * Math.PI) / 180);
    context.font = `${weight} ${size}px ${FONT}`;
    context.textAlign = align;
    context.textBaseline = "middle";
    if (halo) {
      context.strokeStyle = halo;
      context.lineWidth = 3;
      context.lineJoin = "round";
      context.strokeText(words, 0, 0);
    }
    context.fillStyle = ink;
    context.fillText(words, 0, 0);
    context.restore();
  }

  mark(x: number, y: number, shape: Mark, size: number, stroke: Stroke, fill?: string): void {
    const { context } = this;
    context.beginPath();
    if (shape === "circle") context.arc(x, y, size, 0, 2 * Math.PI);
    else this.#path(corners(x, y, shape, size));
    if (fill) {
      context.fillStyle = fill;
      context.fill();
    }
    context.strokeStyle = stroke.ink;
    context.lineWidth = stroke.width ?? 1;
    context.stroke();
  }

  clip(x: number, y: number, width: number, height: number, draw: () => void): void {
    this.context.save();
    this.context.beginPath();
    this.context.rect(x, y, width, height);
    this.context.clip();
    draw();
    this.context.restore();
  }
}

const round = (value: number) => String(Math.round(value * 100) / 100);
const escape = (text: string) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

export class SvgSurface implements Surface {
  #parts: string[] = [];
  #clips = 0;
  constructor(
    readonly width: number,
    readonly height: number,
    readonly title: string,
    readonly ground: string,
  ) {}

  #d(points: Points): string {
    let open = false;
    let path = "";
    for (const point of points) {
      if (!point) open = false;
      else {
        path += `${open ? "L" : "M"}${round(point[0])} ${round(point[1])}`;
        open = true;
      }
    }
    return path;
  }

  line(points: Points, { ink, width = 1, dash = [] }: Stroke): void {
    const dashes = dash.length ? ` stroke-dasharray="${dash.join(" ")}"` : "";
    this.#parts.push(`<path d="${this.#d(points)}" fill="none" stroke="${ink}" stroke-width="${width}" stroke-linejoin="round"${dashes}/>`);
  }

  fill(rings: readonly Points[], ink: string, opacity = 1): void {
    const path = rings.map((ring) => `${this.#d(ring)}Z`).join("");
    this.#parts.push(`<path d="${path}" fill="${ink}" fill-opacity="${opacity}" fill-rule="evenodd"/>`);
  }

  text(x: number, y: number, words: string, { ink, size = 12, weight = 400, align = "left", halo, turn = 0 }: Letters): void {
    const anchor = { left: "start", center: "middle", right: "end" }[align];
    const around = halo ? ` paint-order="stroke" stroke="${halo}" stroke-width="3" stroke-linejoin="round"` : "";
    const turned = turn ? ` transform="rotate(${turn} ${round(x)} ${round(y)})"` : "";
    this.#parts.push(
      `<text x="${round(x)}" y="${round(y)}" dy="0.35em" font-size="${size}" font-weight="${weight}" text-anchor="${anchor}" fill="${ink}"${around}${turned}>${escape(words)}</text>`,
    );
  }

  mark(x: number, y: number, shape: Mark, size: number, { ink, width = 1 }: Stroke, fill?: string): void {
    const look = `fill="${fill ?? "none"}" stroke="${ink}" stroke-width="${width}"`;
    if (shape === "circle") this.#parts.push(`<circle cx="${round(x)}" cy="${round(y)}" r="${size}" ${look}/>`);
    else this.#parts.push(`<path d="${this.#d(corners(x, y, shape, size))}" ${look}/>`);
  }

  clip(x: number, y: number, width: number, height: number, draw: () => void): void {
    const id = `c${++this.#clips}`;
    this.#parts.push(`<clipPath id="${id}"><rect x="${round(x)}" y="${round(y)}" width="${round(width)}" height="${round(height)}"/></clipPath><g clip-path="url(#${id})">`);
    draw();
    this.#parts.push("</g>");
  }

  toString(): string {
    const { width, height } = this;
    return (
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" font-family='${FONT}' role="img">` +
      `<title>${escape(this.title)}</title><rect width="${width}" height="${height}" fill="${this.ground}"/>${this.#parts.join("")}</svg>\n`
    );
  }
}
