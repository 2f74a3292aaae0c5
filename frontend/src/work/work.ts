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
import { changes, changesKey, form, say } from "../lib/state";
import type { Changes, Fault, Job } from "../lib/types";

export class Work<Result> {
  readonly job = signal<Job | null>(null);
  readonly faults = signal<Fault[]>([]);
  readonly of = signal<Changes>({});
  readonly #result = signal<Result | null>(null);
  readonly #build = signal<string | null>(null);
  #name: string | null = null;
  #asked: object = {};
  #turn = 0;

  /** The last result, unless another build has been opened since. */
  readonly result = computed(() => (this.#build.value === (form.value?.name ?? null) ? this.#result.value : null));
  readonly running = computed(() => this.job.value?.state === "running" || this.job.value?.state === "waiting");
  /** True when the values have changed since the result was asked for. */
  readonly stale = computed(() => this.result.value !== null && changesKey(this.of.value) !== changesKey(changes.value));

  constructor(
    readonly kind: "plan" | "whatif" | "bands" | "sheets",
    readonly words: string,
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
      this.#name = job;
      const last = await follow(job, (state) => {
        if (turn === this.#turn && (state.state === "running" || state.state === "waiting")) this.job.value = state;
      });
      if (turn !== this.#turn) return null;
      this.#end(last, of);
      return last.state === "done" ? (last.result as Result) : null;
    } catch (error) {
      if (turn === this.#turn) {
        this.job.value = null;
        this.faults.value = faultsOf(error);
      }
      return null;
    }
  }

  #end(last: Job, of: Changes): void {
    if (last.state === "done") {
      this.of.value = of;
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
