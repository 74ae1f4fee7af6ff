import type { RevisionEvent } from './types';

/**
 * Listens to the server's events; the browser reconnects by itself.
 * @param onRevision called for each change of the document, by whichever window
 * @param onLink called with false when the line breaks and with true when it stands (again)
 * @returns stops listening
 */
export function listen(
  onRevision: (event: RevisionEvent) => void,
  onLink: (up: boolean) => void,
): () => void {
  const source = new EventSource('/api/events');
  source.addEventListener('open', () => onLink(true));
  source.addEventListener('error', () => onLink(false));
  source.addEventListener('revision', (event) =>
    onRevision(JSON.parse(String(event.data)) as RevisionEvent),
  );
  return () => source.close();
}
