/**
 * Long work as the pages see it: begun, followed, stopped; its result stays while the page is left and come back to.
 *
 * new Work<Plan>("plan")      one for each kind, made once in its page's module
 * start(options)              begins a job for the changes in hand; a running one of its kind gives way
 * stop()                      stops it
 * job, result, faults         signals; `result` is null until the first answer and stays until the next one
 * of                          the changes that result was worked out for
 */
import { computed, signal } from "@preact/signals";
import { faultsOf, follow, get, post, remove } from "../lib/api";
import { changes, changesKey, form, say, written } from "../lib/state";
import type { Changes, Fault, Job } from "../lib/types";
import { changesOf } from "./settings";

/** A job as the list of all tells of it. */
interface KeptJob {
  job: string;
  kind: string;
  build: string;
  stamp: string;
  state: string;
  settings: string[];
  options: object;
}

export class Work<Result> {
  readonly job = signal<Job | null>(null);
  readonly faults = signal<Fault[]>([]);
  readonly of = signal<Changes>({});
  readonly #result = signal<Result | null>(null);
  readonly #build = signal<string | null>(null);
  /** What stood in the file then. */
  readonly #file = signal<Changes>({});
  #name: string | null = null;
  #asked: object = {};
  #turn = 0;

  /** The last result, unless another build has been opened since. */
  readonly result = computed(() => (this.#build.value === (form.value?.name ?? null) ? this.#result.value : null));
  readonly running = computed(() => this.job.value?.state === "running" || this.job.value?.state === "waiting");
  /** True when the values have changed since the result was asked for. */
  readonly stale = computed(() => this.result.value !== null && this.moved.value.length > 0 && changesKey(changes.value) !== this.accepted.value);
  /** Changes that were taken from the result itself. */
  readonly accepted = signal("");
  /** Keys that have changed since, of those the result hangs on. */
  readonly moved = computed(() => {
    const then: Changes = { ...this.#file.value, ...this.of.value };
    const now: Changes = { ...written.value, ...changes.value };
    return [...new Set([...Object.keys(then), ...Object.keys(now)])].filter((key) => (then[key] ?? null) !== (now[key] ?? null) && !this.free.includes(key));
  });

  constructor(
    readonly kind: "plan" | "whatif" | "bands" | "sheets",
    readonly words: string,
    /** Keys the result does not hang on. */
    readonly free: readonly string[] = [],
  ) {}

  /** What the last job was asked. */
  get asked(): object {
    return this.#asked;
  }

  /** Address below which the results of the last job lie. */
  get address(): string {
    return `/api/jobs/${this.#name ?? ""}`;
  }

  async start(options: object, of: Changes = changes.peek()): Promise<Result | null> {
    const turn = ++this.#turn;
    this.faults.value = [];
    this.job.value = { state: "waiting", done: 0, of: 0, words: "sent" };
    this.#asked = options;
    try {
      const { job } = await post<{ job: string }>(`/api/jobs/${this.kind}`, { ...options, changes: of });
      if (turn !== this.#turn) return null;
      return await this.#follow(job, of, turn);
    } catch (error) {
      if (turn === this.#turn) {
        this.job.value = null;
        this.faults.value = faultsOf(error);
      }
      return null;
    }
  }

  /** Take up what the server still works on or keeps, after the page was loaded anew. */
  async adopt(): Promise<void> {
    const build = form.peek()?.name;
    if (this.#turn > 0 || !build) return;
    const turn = ++this.#turn;
    try {
      const { jobs } = await get<{ jobs: KeptJob[] }>("/api/jobs");
      const found = jobs.findLast((one) => one.kind === this.kind && one.build === build && one.stamp === form.peek()?.stamp && ["waiting", "running", "done"].includes(one.state));
      if (!found || turn !== this.#turn) return;
      this.#asked = found.options;
      await this.#follow(found.job, changesOf(found.settings), turn);
    } catch {
      // there is nothing to take up
    }
  }

  async #follow(job: string, of: Changes, turn: number): Promise<Result | null> {
    const file = written.peek();
    this.#name = job;
    const last = await follow(job, (state) => {
      if (turn === this.#turn && (state.state === "running" || state.state === "waiting")) this.job.value = state;
    });
    if (turn !== this.#turn) return null;
    this.#end(last, of, file);
    return last.state === "done" ? (last.result as Result) : null;
  }

  #end(last: Job, of: Changes, file: Changes): void {
    if (last.state === "done") {
      this.of.value = of;
      this.#file.value = file;
      this.#build.value = form.peek()?.name ?? null;
      this.#result.value = last.result as Result;
      say(`${this.words}: done.`);
    }
    this.faults.value = last.faults ?? [];
    this.job.value = { ...last, result: undefined };
  }

  async stop(): Promise<void> {
    if (!this.#name || !this.running.peek()) return;
    try {
      await remove(this.address);
      say(`${this.words}: stopped.`);
    } catch {
      // it has ended meanwhile, or the server has gone: following it says so
    }
  }

  /** A file of the last job as text, such as its table as CSV. */
  async text<T>(name: string): Promise<T> {
    return get<T>(`${this.address}/${name}`);
  }
}
