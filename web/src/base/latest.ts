/**
 * Runs an asynchronous call with the latest of what is asked, one at a time: while one is under
 * way, only the newest further request is kept, and starts when the first is done.
 */
export function latestWins<T>(run: (request: T) => Promise<void>): (request: T) => void {
  let busy = false;
  let waiting: { request: T } | null = null;

  async function drain() {
    busy = true;
    try {
      while (waiting) {
        const { request } = waiting;
        waiting = null;
        await run(request);
      }
    } finally {
      busy = false;
    }
  }

  return (request) => {
    waiting = { request };
    if (!busy) void drain();
  };
}

/**
 * Runs an asynchronous call one at a time: who asks while it is under way gets the answer of one
 * further run, which starts when that is done, so that nobody is told what is already past.
 */
export function joined(run: () => Promise<void>): () => Promise<void> {
  let now: Promise<void> | null = null;
  let next: Promise<void> | null = null;

  const start = (): Promise<void> => {
    now = run().finally(() => (now = null));
    return now;
  };
  return () => {
    if (!now) return start();
    next ??= now
      .catch(() => {})
      .then(() => {
        next = null;
        return start();
      });
    return next;
  };
}
