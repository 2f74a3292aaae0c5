/**
 * The one place that speaks to the server.
 *
 * get/post/remove   JSON in, JSON out; a refused request throws ApiError with the faults the server named
 * send              raw body (a picture), for the digitiser
 * file              a binary answer (a PDF) as a Blob
 * Newest            one request in flight, the newest waiting one next, older ones dropped: for sliders
 * follow            polls a job until it ends
 * useBuild          which build the calls of this tab mean (header X-Build)
 * online            false as soon as the server cannot be reached; true again when it answers
 */
import { signal } from "@preact/signals";
import type { Fault, Job } from "./types";

const STORE = "boostwright.token";
const BUILD = "boostwright.build";

/** False while the server does not answer. */
export const online = signal(true);

export class ApiError extends Error {
  readonly status: number;
  readonly faults: Fault[];
  readonly body: unknown;
  constructor(status: number, faults: Fault[], body: unknown) {
    super(faults.map((fault) => fault.message).join("\n") || `The server answered with ${status}.`);
    this.status = status;
    this.faults = faults;
    this.body = body;
  }
}

/**
 * Take the token out of the address into this tab's own store, so that it stands in no history and no screenshot.
 * Returns false where there is none: the page was opened without the link the command printed.
 */
export function takeToken(): boolean {
  const match = /(?:^#|&)token=([^&]+)/.exec(location.hash);
  if (match?.[1]) {
    sessionStorage.setItem(STORE, decodeURIComponent(match[1]));
    const rest = location.hash.replace(/(^#|&)token=[^&]+/, "$1").replace(/^#&?/, "");
    history.replaceState(null, "", location.pathname + (rest.startsWith("/") ? `#${rest}` : "#/decide"));
  }
  return sessionStorage.getItem(STORE) !== null;
}

/** Which build this tab has open: sent with every call, so that two tabs can have two builds open. */
export function useBuild(name: string | null): void {
  if (name === null) sessionStorage.removeItem(BUILD);
  else sessionStorage.setItem(BUILD, name);
}
export const buildInUse = (): string | null => sessionStorage.getItem(BUILD);

async function request(method: string, path: string, body: BodyInit | undefined, type: string, signal?: AbortSignal) {
  const headers: Record<string, string> = { Authorization: `Bearer ${sessionStorage.getItem(STORE) ?? ""}` };
  if (body !== undefined) headers["Content-Type"] = type;
  const build = buildInUse();
  if (build !== null) headers["X-Build"] = encodeURIComponent(build);
  let answer: Response;
  try {
    answer = await fetch(path, { method, headers, body: body ?? null, signal: signal ?? null, cache: "no-store" });
  } catch (error) {
    if (!(error instanceof DOMException && error.name === "AbortError")) online.value = false;
    throw error;
  }
  online.value = true;
  if (!answer.ok) throw await refused(answer);
  return answer;
}

async function refused(answer: Response): Promise<ApiError> {
  const body: unknown = await answer.json().catch(() => null);
  const faults = (body as { faults?: Fault[] } | null)?.faults;
  const fallback =
    answer.status === 401
      ? "The server does not know this page: open the link that `boostwright serve` printed."
      : `The server answered with ${answer.status}.`;
  return new ApiError(answer.status, Array.isArray(faults) ? faults : [{ message: fallback }], body);
}

export async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return (await (await request("GET", path, undefined, "", signal)).json()) as T;
}

export async function post<T>(path: string, body: unknown, signal?: AbortSignal): Promise<T> {
  return (await (await request("POST", path, JSON.stringify(body), "application/json", signal)).json()) as T;
}

export async function remove(path: string): Promise<void> {
  await request("DELETE", path, undefined, "");
}

export async function send<T>(path: string, body: Blob, type: string, signal?: AbortSignal): Promise<T> {
  return (await (await request("POST", path, body, type, signal)).json()) as T;
}

export async function file(path: string): Promise<Blob> {
  return (await request("GET", path, undefined, "")).blob();
}

/** What a caught error says to the user. */
export function faultsOf(error: unknown): Fault[] {
  if (error instanceof ApiError) return error.faults;
  if (!online.value) return [{ message: "The server has gone. Start it again with `boostwright serve`; nothing typed here is lost meanwhile." }];
  return [{ message: error instanceof Error ? error.message : String(error) }];
}

/**
 * Runs one task at a time; of those asked meanwhile only the newest is run. A slider may ask sixty times a second and
 * the answers still come in order, none older than the one before.
 */
export class Newest<Ask> {
  #busy = false;
  #next: { ask: Ask } | null = null;
  readonly #run: (ask: Ask) => Promise<void>;
  constructor(run: (ask: Ask) => Promise<void>) {
    this.#run = run;
  }

  ask(ask: Ask): void {
    this.#next = { ask };
    if (!this.#busy) void this.#drain();
  }

  /** True while something runs or waits. */
  get busy(): boolean {
    return this.#busy;
  }

  async #drain(): Promise<void> {
    this.#busy = true;
    while (this.#next) {
      const { ask } = this.#next;
      this.#next = null;
      try {
        await this.#run(ask);
      } catch {
        // the task shows its own faults; the queue must go on
      }
    }
    this.#busy = false;
  }
}

/** Polls a job until it has ended, calling `seen` at each look. Resolves with the last state; throws when unreachable. */
export async function follow(job: string, seen: (state: Job) => void, signal?: AbortSignal): Promise<Job> {
  for (;;) {
    const state = await get<Job>(`/api/jobs/${encodeURIComponent(job)}`, signal);
    seen(state);
    if (state.state !== "waiting" && state.state !== "running") return state;
    await new Promise((resolve) => setTimeout(resolve, 200));
    if (signal?.aborted) throw new DOMException("stopped", "AbortError");
  }
}
