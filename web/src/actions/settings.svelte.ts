import type { Units } from '../engine_client/types';

export type Theme = 'system' | 'light' | 'dark';

const recall = (key: string) => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null; // Storage is shut off: the choice lasts until the window closes.
  }
};
const remember = (key: string, value: string) => {
  try {
    localStorage.setItem(key, value);
  } catch {
    // As above.
  }
};

const asUnits = (text: string | null): Units =>
  text === 'metric' || text === 'imperial' ? text : 'as-written';
const asTheme = (text: string | null): Theme =>
  text === 'light' || text === 'dark' ? text : 'system';

/** What this window prefers; it belongs to the window, not to the document. */
class Settings {
  units = $state<Units>(asUnits(recall('units')));
  theme = $state<Theme>(asTheme(recall('theme')));

  setUnits(units: Units) {
    this.units = units;
    remember('units', units);
  }

  setTheme(theme: Theme) {
    this.theme = theme;
    remember('theme', theme);
    this.applyTheme();
  }

  applyTheme() {
    document.documentElement.dataset.theme = this.theme;
  }
}

export const settings = new Settings();
