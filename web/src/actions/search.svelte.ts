import { joined, latestWins } from '../base/latest';
import { engine } from '../engine_client/client';
import type { JobEvent, JobState } from '../engine_client/jobs';
import type { Rank, SearchResult } from '../engine_client/search';
import { bench } from './bench.svelte';
import { settings } from './settings.svelte';

/** How many entries are asked for: more than anybody reads, few enough to be drawn. */
const most = 60;
/** How long a hand rests on a slider before the order is asked for [ms]. */
const rest = 60;
/** The weight that each wish has at first, in the middle of its slider. */
export const usualWeight = 5;

/** Least and greatest that is let through of a wish, SI. */
export interface Bounds {
  least: number | null;
  most: number | null;
}

/** The search that the page shows: how far it is, what it found, and what is looked at of it. */
class Searches {
  job = $state<number | null>(null);
  state = $state<JobState | null>(null);
  progress = $state(0);
  result = $state.raw<SearchResult | null>(null);
  /** The search that the result is of: while one goes on, the one that was stopped. */
  of = $state<number | null>(null);
  error = $state<string | null>(null);
  /** Whether nothing that the result depends on has changed since. */
  current = $state(true);
  ranking = $state.raw<Rank[]>([]);
  weights = $state<Record<string, number>>({});
  /** The entry looked at, by its index in the result. */
  chosen = $state<number | null>(null);
  bounds = $state<Record<string, Bounds>>({});

  readonly running = $derived(this.state === 'running');
  readonly partial = $derived(
    this.result !== null && this.result.looked_at < this.result.combinations,
  );
  /** Entries within all bounds, in their order. */
  readonly shown = $derived(this.ranking.filter(({ entry }) => this.#within(entry)));

  #resting: ReturnType<typeof setTimeout> | undefined;
  #rank = latestWins<Record<string, number>>(async (weights) => {
    try {
      if (this.of !== null) this.ranking = (await engine.ranking(this.of, weights)).ranking;
    } catch (error) {
      bench.complain(error);
    }
  });

  /** Takes up the newest search of the server, with what it found. */
  load = joined(async () => {
    try {
      const newest = await engine.newestSearch();
      this.current = newest.current;
      if (newest.id === null) return;
      const job = await engine.searchJob(newest.id, settings.units);
      if (this.job !== job.id) this.result = null;
      this.job = job.id;
      this.state = job.state;
      this.progress = job.progress;
      this.error = job.error;
      if (!job.result) return;
      const fresh = this.result === null || this.of !== job.id;
      this.of = job.id;
      this.#take(job.result, fresh);
    } catch (error) {
      bench.complain(error);
    }
  });

  #take(result: SearchResult, fresh: boolean) {
    const wished = result.wishes.filter(({ want }) => want !== null).map(({ aim }) => aim);
    const kept = Object.fromEntries(wished.map((aim) => [aim, this.weights[aim] ?? usualWeight]));
    this.result = result;
    this.weights = kept;
    if (fresh) {
      this.ranking = result.ranking;
      this.bounds = {};
      this.chosen = result.ranking[0]?.entry ?? null;
    }
    if (Object.values(kept).some((weight) => weight !== usualWeight)) this.#rank({ ...kept });
  }

  /** Begins a search, or goes on with the one that was stopped. */
  async start(goOn = false) {
    try {
      const resume = goOn && this.job !== null ? this.job : undefined;
      const { id } = await engine.startSearch(most, resume);
      this.job = id;
      this.state = 'running';
      this.error = null;
      // What was found before stays in sight while the search goes on.
      if (!goOn) {
        this.progress = 0;
        this.result = null;
      }
      // It may have ended before its number was known here.
      await this.load();
    } catch (error) {
      bench.complain(error);
    }
  }

  async stop() {
    try {
      if (this.job !== null) await engine.stopJob(this.job);
    } catch (error) {
      bench.complain(error);
    }
  }

  /** Told by the server as any job goes on. */
  heard(event: JobEvent) {
    if (event.id !== this.job || event.state !== 'running') {
      void this.load();
      return;
    }
    this.progress = event.progress;
  }

  /** Sets the weight of a wish; the order follows. */
  weigh(aim: string, weight: number) {
    this.weights[aim] = weight;
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#rank({ ...this.weights }), rest);
  }

  weighAlike() {
    for (const aim of Object.keys(this.weights)) this.weigh(aim, usualWeight);
  }

  #within(entry: number): boolean {
    return Object.entries(this.bounds).every(([aim, { least, most: greatest }]) => {
      const value = this.result?.entries[entry]?.aims[aim]?.si;
      if (value == null) return false;
      return (least === null || value >= least) && (greatest === null || value <= greatest);
    });
  }

  bound(aim: string, bounds: Bounds) {
    const rest_ = Object.fromEntries(Object.entries(this.bounds).filter(([key]) => key !== aim));
    const none = bounds.least === null && bounds.most === null;
    this.bounds = none ? rest_ : { ...rest_, [aim]: bounds };
    if (!this.shown.some(({ entry }) => entry === this.chosen)) {
      this.chosen = this.shown[0]?.entry ?? null;
    }
  }

  /** The place of an entry in the order, from 1. */
  place(entry: number): number {
    return this.ranking.findIndex((rank) => rank.entry === entry) + 1;
  }
}

export const searches = new Searches();
