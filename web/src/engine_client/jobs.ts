/** The shapes of work that takes a while. See docs/openapi.yaml. */

export type JobState = 'running' | 'done' | 'failed' | 'stopped';

export interface Job<Result> {
  id: number;
  state: JobState;
  progress: number;
  result: Result | null;
  error: string | null;
}

export interface JobEvent {
  id: number;
  state: JobState;
  progress: number;
}
