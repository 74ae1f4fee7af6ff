/** What was picked in this view: who comes back from a field finds it as it was left. */
class Kept {
  /** Setups whose curves are not drawn. */
  hidden = $state<string[]>([]);
  withLost = $state(false);
  /** As what a weight is told. */
  told = $state('kerb_torque');
  /** The weights taken apart, side by side. */
  picked = $state(['kerb_torque', 'road_torque']);
}

export const kept = new Kept();
