import { ApiError, engine } from '../engine_client/client';
import type { Job, JobEvent } from '../engine_client/jobs';
import type { History, Order } from '../engine_client/simulate';
import { bench } from './bench.svelte';

/** Asked anew after so long, should an event not have come [ms]. */
const patience = 1000;

const usual: Order = {
  run: 'parking',
  amplitude: '',
  time: '',
  duration: '',
  engine_speed: '',
  air: '',
};

/** The manoeuvre asked for, and what each setup did in the one that was run. */
class Motions {
  order = $state<Order>({ ...usual });
  /** What was run, on which revision. */
  ran = $state.raw<{ order: Order; revision: number } | null>(null);
  histories = $state.raw<Record<string, History>>({});
  /** Why a setup has no history, in the server's words. */
  troubles = $state.raw<Record<string, string>>({});
  /** The field of the order that the server could not use. */
  wrong = $state.raw<{ field: string; message: string } | null>(null);
  /** The setup in work. */
  running = $state<string | null>(null);
  progress = $state(0);

  /** Whether the file or the order has changed since the run. */
  readonly stale = $derived(
    this.ran !== null &&
      (this.ran.revision !== bench.revision ||
        JSON.stringify(this.ran.order) !== JSON.stringify(this.order)),
  );

  #job: number | null = null;
  #stopped = false;
  #wake: (() => void) | null = null;

  /** Runs the manoeuvre with each setup, one after the other. */
  async run(setups: string[]) {
    this.#stopped = false;
    this.wrong = null;
    this.histories = {};
    this.troubles = {};
    this.ran = { order: { ...this.order }, revision: bench.revision };
    for (const setup of setups) {
      if (this.#stopped || this.wrong) break;
      this.running = setup;
      this.progress = 0;
      try {
        const { id } = await engine.startSimulation(setup, this.ran.order);
        this.#job = id;
        this.#take(setup, await this.#ended(id));
      } catch (error) {
        this.#fail(setup, error);
      }
    }
    this.running = null;
    this.#job = null;
  }

  #take(setup: string, { result, error }: Job<History>) {
    if (result) this.histories = { ...this.histories, [setup]: result };
    else if (error) this.troubles = { ...this.troubles, [setup]: error };
  }

  #fail(setup: string, error: unknown) {
    if (error instanceof ApiError && error.where && error.where in usual) {
      this.wrong = { field: error.where, message: error.message };
    } else if (error instanceof ApiError && error.status === 422) {
      this.troubles = { ...this.troubles, [setup]: error.message };
    } else {
      this.#stopped = true;
      bench.complain(error);
    }
  }

  async #ended(id: number): Promise<Job<History>> {
    for (;;) {
      if (this.#stopped) await engine.stopJob(id);
      const job = await engine.simulationJob(id);
      if (job.state !== 'running') return job;
      this.progress = job.progress;
      await new Promise<void>((done) => {
        this.#wake = done;
        setTimeout(done, patience);
      });
    }
  }

  stop() {
    this.#stopped = true;
    this.#wake?.();
  }

  /** Told by the server as any job goes on; gives whether it is one of these. */
  heard(event: JobEvent): boolean {
    if (event.id !== this.#job) return false;
    this.progress = event.progress;
    if (event.state !== 'running') this.#wake?.();
    return true;
  }
}

export const motions = new Motions();
