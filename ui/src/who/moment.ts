// A moment of the world's clock, as the reader writes it.
export const moment = (t?: string): string => (t ? new Date(t).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' }) : '');
