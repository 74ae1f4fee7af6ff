import { latestWins } from '../base/latest';
import { ApiError, engine } from '../engine_client/client';
import type { Figure, Pose } from '../engine_client/types';
import type { Turn } from '../engine_client/turn';
import { bench } from './bench.svelte';
import { settings } from './settings.svelte';

/** How long the hand rests before the ± of the pose is asked for [ms]. */
const rest = 180;
/** Travel past or short of a limit that is still at it [m]: below what anybody can see. */
const atLimit = 1e-6;

/** The end of the rack's travel on the side a pose is on, and how far past it the pose is [m]. */
export function endOf(turn: Turn): { travel: number; past: number } | null {
  const { travel, travel_range: range } = turn;
  if (travel === null) return null;
  const end = travel > 0 ? range.left : range.right;
  if (end?.travel == null) return null;
  return { travel: Math.sign(travel) * end.travel, past: Math.abs(travel) - end.travel };
}

/** Rack travel for a radian of the wheel on the screen, for the hand only [m]. */
const travelPerRadian = 0.008;

/** Which car an answer is of. */
const keyOf = ({ setup, revision }: Turn) => `${setup} ${revision}`;

/** A pose told by rack travel instead of the hand wheel. */
const bare = (pose: Pose): Pose => ({
  ...pose,
  handWheel: undefined,
  travel: -(pose.handWheel ?? 0) * travelPerRadian,
});

/** The linkage as it stands under the hands on the screen. */
class PoseKeeper {
  turn = $state.raw<Turn | null>(null);
  ahead = $state.raw<Turn | null>(null);
  #told = $state.raw<Turn | null>(null);
  /** Whether what is shown is of the setup and revision that the page is at. */
  readonly current = $derived(
    this.turn !== null &&
      this.turn.setup === bench.setup?.name &&
      this.turn.revision >= bench.revision,
  );
  /** Figures with their ±, never those of another setup or revision than the pose shown. */
  readonly figures: Record<string, Figure> = $derived(
    this.#told && this.turn && keyOf(this.#told) === keyOf(this.turn)
      ? (this.#told.figures ?? {})
      : {},
  );
  /** Whether the hand wheel stands at the first limit of its way. */
  atEnd = $state<'left' | 'right' | null>(null);
  /** Whether the engine has answered once, be it with a refusal. */
  answered = $state(false);

  #ratioless = '';
  #resting: ReturnType<typeof setTimeout> | undefined;
  #request = latestWins<Pose>(async (pose) => {
    try {
      await this.#fetch(pose);
    } catch (error) {
      // Better nothing than another setup's numbers under this one's name.
      if (!this.current) this.turn = null;
      bench.complain(error);
    } finally {
      this.answered = true;
    }
  });

  /** The pose that the route and its setup ask for. */
  wanted(): Pose | null {
    const { handWheel, left, right, roadSpeed, engineSpeed, temperature } = bench.route;
    const setup = bench.setup?.name;
    if (!setup) return null;
    return {
      setup,
      handWheel,
      left: left || undefined,
      right: right || undefined,
      roadSpeed: roadSpeed ?? undefined,
      engineSpeed: engineSpeed ?? undefined,
      temperature: temperature ?? undefined,
    };
  }

  /** Asks the engine for the pose wanted now. */
  refresh() {
    const pose = this.wanted();
    if (!pose) return;
    this.#told = null;
    this.#request(pose);
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => void this.#settle(), rest);
  }

  /** Turns the hand wheel to an angle [rad], left positive. */
  turnTo(angle: number) {
    bench.go({ handWheel: angle });
    this.refresh();
  }

  async #fetch(pose: Pose) {
    let turn = await this.#ask(pose);
    const end = endOf(turn);
    const stopped = (end !== null && end.past > atLimit) || !turn.reached;
    if (end && end.past > atLimit) {
      turn = await engine.turn({ ...pose, handWheel: undefined, travel: end.travel });
    }
    // Drawn together, so both are of one setup.
    const ahead =
      this.ahead && keyOf(this.ahead) === keyOf(turn)
        ? this.ahead
        : await engine.turn({ setup: pose.setup, travel: 0 });
    this.turn = turn;
    this.ahead = ahead;
    const atEnd = stopped || (end !== null && end.past > -atLimit);
    this.atEnd = atEnd && turn.travel !== null ? (turn.travel > 0 ? 'left' : 'right') : null;
    if (stopped && turn.hand_wheel !== null) bench.go({ handWheel: turn.hand_wheel });
  }

  /** Where the rack's ratio is not known, the wheel on the screen moves the rack all the same. */
  async #ask(pose: Pose): Promise<Turn> {
    const key = `${pose.setup} ${bench.revision}`;
    if (this.#ratioless !== key) {
      try {
        return await engine.turn(pose);
      } catch (error) {
        if (!(error instanceof ApiError) || error.code !== 'missing') throw error;
        this.#ratioless = key;
      }
    }
    return engine.turn(bare(pose));
  }

  async #settle() {
    const pose = this.wanted();
    if (!pose) return;
    try {
      const ratioless = this.#ratioless === `${pose.setup} ${bench.revision}`;
      const turn = await engine.turnWithPm(ratioless ? bare(pose) : pose, settings.units);
      const still = JSON.stringify(this.wanted()) === JSON.stringify(pose);
      if (still) this.#told = turn;
    } catch (error) {
      bench.complain(error);
    }
  }
}

export const poses = new PoseKeeper();
