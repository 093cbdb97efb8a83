import { TroubleError } from '../api';
import { words } from '../words/app';

// saidOf returns what a person is told of an error.
export function saidOf(e: unknown): string {
  if (e instanceof TroubleError) {
    const t = e.trouble;
    if (t.code === 'no answer') return words.trouble.noAnswer;
    return [t.detail || t.title, t.hint].filter(Boolean).join(': ');
  }
  return e instanceof Error ? e.message : String(e);
}
