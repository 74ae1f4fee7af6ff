import { bench } from '../../actions/bench.svelte';
import { valueAt } from '../../engine_client/form';

/** What the car is called, or else the file. */
export function carName(): string {
  const { form, title } = bench.document ?? {};
  return (form && valueAt(form, 'car.name')?.toString()) || (title ?? '');
}
