import { MediaQuery } from 'svelte/reactivity';

/** Whether the screen is a phone's; a sheet of paper is none, be it as narrow. */
export const narrow = new MediaQuery('screen and (max-width: 720px)');

/** On a narrow screen the chosen setup comes first, since few columns are seen at a time. */
export function chosenFirst<T extends { name: string }>(
  list: T[],
  chosen: string,
  on: boolean,
): T[] {
  if (!on) return list;
  return [...list].sort((a, b) => Number(b.name === chosen) - Number(a.name === chosen));
}
