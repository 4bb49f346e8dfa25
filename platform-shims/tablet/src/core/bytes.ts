// Bytes: as hexadecimal digits in lower case, and out of a blob.

export function toHex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// Of digits that toHex() made.
export function fromHex(digits: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => parseInt(pair, 16));
}

export async function bytesOf(content: Blob): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await content.arrayBuffer());
}
