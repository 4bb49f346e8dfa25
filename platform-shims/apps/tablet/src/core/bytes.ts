// Bytes: as hexadecimal digits in lower case, and out of a blob.

export function toHex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Reads digits that toHex() made.
export function fromHex(digits: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => parseInt(pair, 16));
}

// Two people compare keys and hashes in groups, since one of them reads aloud: "3f9a 12bc ..."; the hub prints them so
// (sync-server/hex_groups.h).
export function inGroups(digits: string): string {
  return (digits.match(/.{1,4}/g) ?? []).join(" ");
}

export async function bytesOf(content: Blob): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await content.arrayBuffer());
}
