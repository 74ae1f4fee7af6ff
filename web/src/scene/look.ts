/** From where the space view looks, and in which colours. */
import { Color } from 'three';

/** Where one may stand to look from: ahead of the axle, to its left, over it, and between them [m]. */
export const stands = {
  corner: [2.2, 1.15, 1.15],
  front: [2.7, 0, 0.3],
  side: [0, 2.7, 0.3],
  above: [0.02, 0, 2.8],
} satisfies Record<string, [number, number, number]>;
export type Stand = keyof typeof stands;

/** The colour that a name of the style sheet stands for now, light or dark. */
export function colourOf(host: HTMLElement, name: string): Color {
  const probe = document.createElement('span');
  probe.style.color = `var(--${name})`;
  host.append(probe);
  const colour = new Color(getComputedStyle(probe).color);
  probe.remove();
  return colour;
}
