import { published } from '../issues/compared';

// A moment of the world's clock, as the reader writes it.
export const moment = (t?: string): string => (t ? published(t) : '');
