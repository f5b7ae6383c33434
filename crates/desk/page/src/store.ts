// What is typed, in the browser's own store (IndexedDB), before it goes anywhere else. A record stands there from the
// first keystroke until the program says that it has written the file.

export interface Kept {
  path: string;
  text: string;
  base: string;      // hash of the file that the text grew from
  trail: string[];   // fingerprints of the texts sent since: one of them may be what the file holds by now
  at: number;        // milliseconds, for people
}

const NAME = "cartella-desk";
const TEXTS = "texts";
const LONGEST_TRAIL = 400;

let opened: Promise<IDBDatabase> | null = null;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(TEXTS, { keyPath: "path" });
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  return opened;
}

async function texts(mode: IDBTransactionMode): Promise<IDBObjectStore> {
  return (await database()).transaction(TEXTS, mode).objectStore(TEXTS);
}

function answer<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

export async function keep(kept: Kept): Promise<void> {
  await answer((await texts("readwrite")).put({ ...kept, trail: kept.trail.slice(-LONGEST_TRAIL) }));
}

export async function kept(path: string): Promise<Kept | undefined> {
  return answer((await texts("readonly")).get(path) as IDBRequest<Kept | undefined>);
}

export async function forget(path: string): Promise<void> {
  await answer((await texts("readwrite")).delete(path));
}

/// A short name for a text: FNV-1a, twice 32 bits. It only tells texts of one typing session apart.
export function fingerprint(text: string): string {
  let a = 0x811c9dc5;
  let b = 0x01000193;
  for (let unit = 0; unit < text.length; unit++) {
    const code = text.charCodeAt(unit);
    a = Math.imul(a ^ code, 0x01000193);
    b = Math.imul(b ^ (code + unit), 0x5bd1e995);
  }
  return `${(a >>> 0).toString(36)}.${(b >>> 0).toString(36)}.${text.length}`;
}

/// Choices of the reader: theme, keys, panes. Small, and no loss if gone.
export const choices = {
  get(name: string, otherwise: string): string {
    try {
      return localStorage.getItem(`desk.${name}`) ?? otherwise;
    } catch {
      return otherwise;
    }
  },
  set(name: string, value: string): void {
    try {
      localStorage.setItem(`desk.${name}`, value);
    } catch {
      // A browser that keeps nothing still shows the page.
    }
  },
};
