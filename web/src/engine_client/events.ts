import type { JobEvent } from './jobs';
import type { RevisionEvent } from './types';

/**
 * Listens to the server's events; the browser reconnects by itself, unless it is refused.
 * @param onRevision called for each change of the document, by whichever window
 * @param onJob called as work goes on and when it ends
 * @param onLink called with false when the line breaks and with true when it stands (again)
 * @param onRefused called when the server has shut the line for good
 * @returns stops listening
 */
export function listen(
  onRevision: (event: RevisionEvent) => void,
  onJob: (event: JobEvent) => void,
  onLink: (up: boolean) => void,
  onRefused: () => void,
): () => void {
  const source = new EventSource('/api/events');
  source.addEventListener('open', () => onLink(true));
  source.addEventListener('error', () => {
    onLink(false);
    if (source.readyState === EventSource.CLOSED) onRefused();
  });
  source.addEventListener('revision', (event) =>
    onRevision(JSON.parse(String(event.data)) as RevisionEvent),
  );
  source.addEventListener('job', (event) => onJob(JSON.parse(String(event.data)) as JobEvent));
  return () => source.close();
}
