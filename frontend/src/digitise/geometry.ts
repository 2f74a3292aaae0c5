/** Places in the picture, in its own pixels from the upper left corner: no screen, no server. */

export type Place = readonly [x: number, y: number];
/** Row by row, from the axes' plane (x, y, 1) to the picture. */
export type Matrix = readonly (readonly number[])[];

export function distance(a: Place, b: Place): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Where a point of known values lies; null where a logarithmic axis has no such value. */
export function pixelOf(matrix: Matrix, log: readonly boolean[], x: number, y: number): Place | null {
  const plane = [log[0] ? Math.log10(x) : x, log[1] ? Math.log10(y) : y, 1];
  const [u, v, w] = matrix.map((row) => row.reduce((sum, factor, k) => sum + factor * (plane[k] ?? 0), 0));
  if (u === undefined || v === undefined || !w || !Number.isFinite(u / w) || !Number.isFinite(v / w)) return null;
  return [u / w, v / w];
}

/** The values at a place: the same, backwards. */
export function valuesAt(matrix: Matrix, log: readonly boolean[], place: Place): Place | null {
  const [[a, b, c], [d, e, f], [g, h, i]] = matrix as [number[], number[], number[]] as unknown as [
    [number, number, number],
    [number, number, number],
    [number, number, number],
  ];
  const [x, y] = place;
  const inverse = [
    [e * i - f * h, c * h - b * i, b * f - c * e],
    [f * g - d * i, a * i - c * g, c * d - a * f],
    [d * h - e * g, b * g - a * h, a * e - b * d],
  ] as const;
  const [u, v, w] = inverse.map((row) => row[0] * x + row[1] * y + row[2]) as [number, number, number];
  if (!w) return null;
  const plane = [u / w, v / w] as const;
  return [log[0] ? 10 ** plane[0] : plane[0], log[1] ? 10 ** plane[1] : plane[1]];
}

/** Number of the point nearest to a place, if it is within reach; -1 for none. */
export function nearest(points: readonly Place[], place: Place, reach: number): number {
  let best = -1;
  let least = reach;
  points.forEach((point, index) => {
    const away = distance(point, place);
    if (away <= least) {
      least = away;
      best = index;
    }
  });
  return best;
}

/** Where a new point belongs: between the two it lies between, else at the nearer end. */
export function placeFor(points: readonly Place[], place: Place, closed: boolean): number {
  if (points.length < 2) return points.length;
  let best = points.length;
  let least = Infinity;
  const pieces = closed ? points.length : points.length - 1;
  for (let k = 0; k < pieces; k++) {
    const a = points[k] as Place;
    const b = points[(k + 1) % points.length] as Place;
    const length = distance(a, b);
    if (length === 0) continue;
    const share = ((place[0] - a[0]) * (b[0] - a[0]) + (place[1] - a[1]) * (b[1] - a[1])) / length ** 2;
    if (share <= 0 || share >= 1) continue;
    const away = distance(place, [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
    // a point off the line is the next one of it, not one between
    if (away < 0.35 * length && away < least) {
      least = away;
      best = k + 1;
    }
  }
  if (least < Infinity) return best;
  if (closed) return points.length;
  const first = distance(points[0] as Place, place);
  const last = distance(points[points.length - 1] as Place, place);
  return first < last ? 0 : points.length;
}

/**
 * Lines of one value through a net of places: straight pieces mesh by mesh.
 * places[i][j] and values[i][j] belong together; a mesh of which a value is missing is left out.
 */
export function contour(places: readonly (readonly Place[])[], values: readonly (readonly (number | null)[])[], level: number): [Place, Place][] {
  const pieces: [Place, Place][] = [];
  for (let i = 0; i + 1 < places.length; i++)
    for (let j = 0; j + 1 < (places[i]?.length ?? 0); j++) {
      const round = [
        [i, j],
        [i + 1, j],
        [i + 1, j + 1],
        [i, j + 1],
      ] as const;
      const corners = round.map(([a, b]) => ({ place: places[a]?.[b], value: values[a]?.[b] }));
      const cuts: Place[] = [];
      for (let k = 0; k < 4; k++) {
        const here = corners[k];
        const next = corners[(k + 1) % 4];
        if (!here?.place || !next?.place || here.value == null || next.value == null) continue;
        if (here.value < level === next.value < level) continue;
        const share = (level - here.value) / (next.value - here.value);
        cuts.push([here.place[0] + share * (next.place[0] - here.place[0]), here.place[1] + share * (next.place[1] - here.place[1])]);
      }
      for (let k = 0; k + 1 < cuts.length; k += 2) pieces.push([cuts[k] as Place, cuts[k + 1] as Place]);
    }
  return pieces;
}

/** Distance of a place from a polyline. */
export function away(line: readonly Place[], place: Place): number {
  let least = Infinity;
  for (let k = 0; k + 1 < line.length; k++) {
    const a = line[k] as Place;
    const b = line[k + 1] as Place;
    const length = distance(a, b) || 1e-9;
    const share = Math.min(1, Math.max(0, ((place[0] - a[0]) * (b[0] - a[0]) + (place[1] - a[1]) * (b[1] - a[1])) / length ** 2));
    least = Math.min(least, distance(place, [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]));
  }
  return line.length === 1 ? distance(line[0] as Place, place) : least;
}

/** A line and a further stretch of it that was followed from another place: what is new is put on at the nearer end. */
export function joined(line: readonly Place[], more: readonly Place[], near = 3): Place[] {
  if (line.length === 0) return [...more];
  let fresh = more.filter((place) => away(line, place) > near);
  const first = fresh[0];
  const last = fresh[fresh.length - 1];
  const begin = line[0] as Place;
  const end = line[line.length - 1] as Place;
  if (!first || !last) return [...line];
  const gaps = [distance(end, first), distance(end, last), distance(begin, last), distance(begin, first)];
  const best = gaps.indexOf(Math.min(...gaps));
  if (best === 1 || best === 3) fresh = fresh.reverse();
  return best < 2 ? [...line, ...fresh] : [...fresh, ...line];
}
