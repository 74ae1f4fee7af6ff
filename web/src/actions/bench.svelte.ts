import { joined } from '../base/latest';
import { firstView, readRoute, writeRoute, type Route } from '../base/route';
import { ApiError, engine } from '../engine_client/client';
import type {
  BenchDocument,
  Check,
  Fields,
  Figure,
  Session,
  SetupResult,
} from '../engine_client/types';
import { settings } from './settings.svelte';

/** Something to be told, until it is dismissed or its time is over. */
export interface Notice {
  text: string;
  alarm: boolean;
}

/** A figure of which 'where from?' was asked, with the name it went by. */
export interface Asked {
  figure: Figure;
  name: string;
  /** What was read off a curve, where the question came from one. */
  reading?: string;
  /** Why there is no ±, where none is worked out. */
  without?: string;
}

/** What the window knows: the document, its results, and where in the page one is. */
class Bench {
  session = $state.raw<Session | null>(null);
  document = $state.raw<BenchDocument | null>(null);
  fields = $state.raw<Fields | null>(null);
  check = $state.raw<Check | null>(null);
  route = $state<Route>(readRoute(location.hash));
  linked = $state(true);
  needsPairing = $state(false);
  notice = $state.raw<Notice | null>(null);
  asked = $state.raw<Asked | null>(null);
  /** The field that the Car view shall show and focus, once. */
  wanted = $state<string | null>(null);

  readonly setups = $derived(this.check?.setups ?? []);
  readonly setup: SetupResult | undefined = $derived(
    this.setups.find((setup) => setup.name === this.route.setup) ?? this.setups[0],
  );
  readonly revision = $derived(this.document?.revision ?? 0);

  #writing: ReturnType<typeof setTimeout> | undefined;
  #noticeEnds: ReturnType<typeof setTimeout> | undefined;

  /** First load. */
  async open() {
    try {
      this.session = await engine.session();
      if (!this.session.paired) {
        this.needsPairing = true;
        return;
      }
      this.fields = await engine.fields();
      await this.reload();
      this.needsPairing = false;
    } catch (error) {
      this.complain(error);
    }
  }

  /** Fetches the document and its results anew; of overlapping calls the newest counts. */
  reload = joined(async () => {
    try {
      const document = await engine.document();
      if (document.revision < this.revision) return;
      // Both change at once: no view asks for a setup of the one that the other does not have.
      const [results] = await Promise.allSettled([this.#results(document)]);
      if (!this.route.view) {
        this.route.view = firstView(results.status === 'fulfilled' ? results.value.setups : []);
        history.replaceState(null, '', writeRoute(this.route));
      }
      this.document = document;
      if (results.status === 'fulfilled') this.#keep(results.value);
      if (document.unsaved) this.say(`The file could not be written: ${document.unsaved}`, true);
      if (results.status === 'rejected') throw results.reason;
    } catch (error) {
      this.complain(error);
    }
  });

  /** A document with problems, or without a setup, has no results: the page says so itself. */
  async #results(document: BenchDocument): Promise<Check> {
    const setups = document.form?.setup;
    const any = typeof setups === 'object' && Object.keys(setups).length > 0;
    if (!any) return { revision: document.revision, title: document.title, setups: [] };
    return engine.check(settings.units);
  }

  #keep(check: Check) {
    if (check.revision >= (this.check?.revision ?? 0)) this.check = check;
  }

  async recheck() {
    try {
      if (this.document) this.#keep(await this.#results(this.document));
    } catch (error) {
      this.complain(error);
    }
  }

  /** Goes to a place in the page; the address follows. */
  go(change: Partial<Route>) {
    const viewChanges = change.view !== undefined && change.view !== this.route.view;
    Object.assign(this.route, change);
    if (viewChanges) {
      clearTimeout(this.#writing);
      history.pushState(null, '', writeRoute(this.route));
      return;
    }
    // Browsers allow few address changes a second, and a hand wheel makes many.
    clearTimeout(this.#writing);
    this.#writing = setTimeout(() => history.replaceState(null, '', writeRoute(this.route)), 200);
  }

  /** Shows a field in the Car view. */
  showField(path: string) {
    this.asked = null;
    this.wanted = path;
    this.go({ view: 'car' });
  }

  ask(figure: Figure, name: string, more: Pick<Asked, 'reading' | 'without'> = {}) {
    this.asked = { figure, name, ...more };
  }

  say(text: string, alarm = false) {
    this.notice = { text, alarm };
    clearTimeout(this.#noticeEnds);
    if (!alarm) this.#noticeEnds = setTimeout(() => (this.notice = null), 6000);
  }

  complain(error: unknown) {
    if (error instanceof ApiError && error.status === 401) {
      this.needsPairing = true;
      return;
    }
    this.say(error instanceof Error ? error.message : String(error), true);
  }
}

export const bench = new Bench();
