// The device's key: Ed25519 in WebCrypto, not extractable, kept in IndexedDB. Nothing, this app included, can read the private
// half; whoever holds the unlocked browser can sign with it.

export interface DeviceKey {
  privateKey: CryptoKey;
  publicKey: Uint8Array; // 32 bytes
}

const databaseName = "wrackline";
const storeName = "key";
const keyName = "device";

function done<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error("the key store did not answer"));
  });
}

async function openDatabase(): Promise<IDBDatabase> {
  const request = indexedDB.open(databaseName, 1);
  request.onupgradeneeded = () => request.result.createObjectStore(storeName);
  return done(request);
}

// The key that is here, or a new one, written down before it is used.
export async function deviceKey(): Promise<DeviceKey> {
  const database = await openDatabase();
  try {
    const kept = (await done(database.transaction(storeName).objectStore(storeName).get(keyName))) as
      | DeviceKey
      | undefined;
    if (kept) return kept;
    const pair = await crypto.subtle.generateKey({ name: "Ed25519" }, false, ["sign", "verify"]);
    const publicKey = new Uint8Array(await crypto.subtle.exportKey("raw", pair.publicKey));
    const key = { privateKey: pair.privateKey, publicKey };
    const writing = database.transaction(storeName, "readwrite", { durability: "strict" });
    await done(writing.objectStore(storeName).put(key, keyName));
    return key;
  } finally {
    database.close();
  }
}
