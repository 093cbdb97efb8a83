// The site picture under the park editor. It is kept in this browser only, one
// for each show, and never sent anywhere.

import type { Picture } from '../core/ground';

export interface Kept { blob: Blob; picture: Picture }

const base = 'sallyport', store = 'site-pictures';

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const ask = indexedDB.open(base, 1);
    ask.onupgradeneeded = () => ask.result.createObjectStore(store);
    ask.onsuccess = () => resolve(ask.result);
    ask.onerror = () => reject(ask.error ?? new Error(store));
  });
}

async function run<T>(mode: IDBTransactionMode, use: (s: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const db = await open();
  try {
    return await new Promise<T>((resolve, reject) => {
      const tx = db.transaction(store, mode), ask = use(tx.objectStore(store));
      tx.oncomplete = () => resolve(ask.result);
      tx.onerror = tx.onabort = () => reject(tx.error ?? ask.error ?? new Error(store));
    });
  } finally {
    db.close();
  }
}

export const keptPicture = (show: number) => run<Kept | undefined>('readonly', (s) => s.get(show));
export const keepPicture = (show: number, kept: Kept) => run('readwrite', (s) => s.put(kept, show));
export const dropPicture = (show: number) => run('readwrite', (s) => s.delete(show));

// measured returns the picture of an image file, laid so that it fills what is
// seen of the sheet.
export async function measured(blob: Blob, seen: { x: number; y: number; wide: number }): Promise<Picture> {
  const image = await createImageBitmap(blob);
  const { width, height } = image;
  image.close();
  return { x: seen.x, y: seen.y, cmPerPixel: seen.wide / width, opacity: 60, wide: width, high: height };
}
