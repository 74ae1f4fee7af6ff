/** What is being written in a field and not saved: it waits here while another view is shown. */
export interface Draft {
  text: string;
  from: string;
  note: string;
  /** The revision that the writer saw. */
  base: number;
}

/** By the field's path. */
export const drafts = new Map<string, Draft>();

/** Enter saves from a select too: the browser would open its list instead. */
export function saveOnEnter(event: KeyboardEvent) {
  const { target } = event;
  if (event.key !== 'Enter' || !(target instanceof HTMLSelectElement)) return;
  event.preventDefault();
  target.form?.requestSubmit();
}
