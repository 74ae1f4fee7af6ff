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
