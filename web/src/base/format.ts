import { segments } from './path';

/** A figure's text taken apart, so that its ± can be set smaller. */
export interface TextParts {
  value: string;
  pm: string | null;
  unit: string;
}

/** Hyphens before digits become true minus signs, which are as wide as a plus. */
export const minus = (text: string) => text.replace(/-(?=[\d.])/g, '\u2212');

/** The ± between a value and its ±, in each of the ways that the engine reads. */
export const plusMinus = /\s*(?:±|\+\/-|\+-)\s*/;

/** Whether a text states a ±. */
export const hasPm = (text: string) => plusMinus.test(text);

/** A number as people write it, fractions of an inch included, and what follows it. */
const numberFirst = /^([+\-\u2212]?\d[\d.,]*(?: \d+\/\d+|\/\d+)?)\s?(.*)$/;

/**
 * Takes "54.3 ± 1.3 mm/turn" or "37.2° ± 1.6°" apart into value, ± and the unit that both share.
 * A text of another make ("0 deg 6' ± 3'") keeps its units with its numbers.
 */
export function textParts(text: string): TextParts {
  const [head = '', tail] = text.split(plusMinus);
  const [, number, unit = ''] = numberFirst.exec(head) ?? [];
  if (number === undefined || /\d/.test(unit)) return { value: head, pm: tail ?? null, unit: '' };
  if (tail === undefined) return { value: minus(number), pm: null, unit };
  const [, pm, pmUnit = ''] = numberFirst.exec(tail) ?? [];
  if (pm === undefined || (unit && pmUnit && unit !== pmUnit)) {
    return { value: minus(head), pm: tail, unit: '' };
  }
  return { value: minus(number), pm, unit: unit || pmUnit };
}

/** Whether a unit is set close to its number (degrees) or after a space. */
export const closeUnit = (unit: string) => unit.startsWith('°') && !/^°[CF]/.test(unit);

/** "rack.quick.boost[2].torque" as a person reads it: "rack · quick · boost 3 · torque". */
export const readable = (path: string) =>
  segments(path)
    .map((segment, i) =>
      typeof segment === 'number' ? ` ${segment + 1}` : `${i ? ' · ' : ''}${words(segment)}`,
    )
    .join('');

/** An identifier as words. */
export const words = (key: string) => key.replaceAll('_', ' ');

/** A name that may stand in a path: small letters, digits and hyphens. */
export const asName = (text: string) =>
  text
    .trim()
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');

const units =
  'A|N·m|N|V|W|kW|mm²/s|mm²|mm/turn|mm|m/s²|m|bar|psi|rpm|L/min|gal/min|km/h|mph|kg|K|°C|°F|%|lbf·ft|lbf|in|ft';
const beforeUnit = new RegExp(`(\\d) (?=(?:${units})(?![\\w·/²]))`, 'g');

/** A sentence with no break between a number and its ± and unit. */
export const unbroken = (text: string) =>
  text.replace(beforeUnit, '$1\u00a0').replace(/(\d) ± (?=\d)/g, '$1\u00a0±\u00a0');

/** A sentence split where a number in it has the mark of a guess, which is left out. */
export const guessed = (text: string) => text.split(/(?<=± [\d.]+ \S+) a(?=[,;.]|$)/);
