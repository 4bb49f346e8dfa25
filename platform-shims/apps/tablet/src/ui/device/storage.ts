// The browser says this of the place where the records are.
export interface Storage {
  // It promises not to clear them by itself.
  persistent: boolean;
  usedBytes: number;
  leftBytes: number;
}

// Asks for that promise where it is not given yet; a browser may say no, and is asked again each time.
export async function storageNow(): Promise<Storage> {
  const persistent = (await navigator.storage.persisted()) || (await navigator.storage.persist());
  const { usage = 0, quota = 0 } = await navigator.storage.estimate();
  return { persistent, usedBytes: usage, leftBytes: Math.max(0, quota - usage) };
}
