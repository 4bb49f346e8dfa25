// The files that attachment records name, in this browser's origin-private files: each under its SHA-256 when it is whole, with
// ".part" behind that while it is coming. The rules are those of platform-shims/hosts/blob_folder.h: parts come in order,
// whoever was interrupted goes on from what is there, and a file gets its name only when its hash is right.
//
// A file is on the disk once put() has answered. Threads: the core's worker only, since no other may hold these
// files open.
import { bytesOf, toHex } from "./bytes";
import { CallFailed, errorCode } from "./messages";

const directoryName = "wrackline-files";
const thumbnailsName = "wrackline-thumbnails";
const partEnd = ".part";
const thumbnailEdge = 320; // Pixels.
const thumbnailQuality = 0.8;

export const filePartBytes = 1 << 20;

declare global {
  // In no library of TypeScript yet.
  interface FileSystemFileHandle {
    move(name: string): Promise<void>;
  }
}

export interface HeldFile {
  bytes: number; // From the beginning on.
  whole: boolean; // Under its name.
}

export async function sha256(content: Blob): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", await bytesOf(content)));
}

// The name of a file here and at the hub; fromHex() makes the hash of it again.
export const fileName = toHex;

function isMissing(error: unknown): boolean {
  return error instanceof DOMException && error.name === "NotFoundError";
}

async function removeFrom(directory: FileSystemDirectoryHandle, name: string): Promise<void> {
  try {
    await directory.removeEntry(name);
  } catch (error) {
    if (!isMissing(error)) throw error;
  }
}

export class FileStore {
  private async directory(name = directoryName): Promise<FileSystemDirectoryHandle> {
    return (await navigator.storage.getDirectory()).getDirectoryHandle(name, { create: true });
  }
  private async find(name: string, directory?: string): Promise<File | null> {
    try {
      return await (await (await this.directory(directory)).getFileHandle(name)).getFile();
    } catch (error) {
      if (isMissing(error)) return null;
      throw error;
    }
  }

  async held(name: string): Promise<HeldFile> {
    const whole = await this.find(name);
    if (whole) return { bytes: whole.size, whole: true };
    return { bytes: (await this.find(name + partEnd))?.size ?? 0, whole: false };
  }

  // The whole file; null when it is not here, or not all of it.
  file(name: string): Promise<File | null> {
    return this.find(name);
  }

  // Takes in `part`, which stands at `offset` in a file of `total` bytes; what is there already is passed over. When the file is
  // complete it gets its name, or goes, if its hash is another (CallFailed, malformed). Throws DOMException when the browser
  // has no room for it: what was there before stays.
  async put(name: string, offset: number, total: number, part: Blob): Promise<HeldFile> {
    const before = await this.held(name);
    if (before.whole) return before;
    if (offset > before.bytes || offset + part.size > total || before.bytes > total) {
      // Nothing of ours asks for that, unless what is here is another file's.
      await this.remove(name);
      throw new CallFailed(errorCode.malformed, "");
    }
    const handle = await (await this.directory()).getFileHandle(name + partEnd, { create: true });
    const fresh = await bytesOf(part.slice(before.bytes - offset));
    const open = await handle.createSyncAccessHandle();
    try {
      if (open.write(fresh, { at: before.bytes }) !== fresh.length)
        throw new DOMException("", "QuotaExceededError");
      open.flush();
    } catch (error) {
      open.truncate(before.bytes); // Half a part must not count as one.
      throw error;
    } finally {
      open.close();
    }
    const bytes = before.bytes + fresh.length;
    if (bytes < total) return { bytes, whole: false };
    if (fileName(await sha256(await handle.getFile())) !== name) {
      await this.remove(name);
      throw new CallFailed(errorCode.malformed, "");
    }
    await handle.move(name);
    return { bytes, whole: true };
  }

  // The file and what has come of it, as far as they are here. The thumbnail stays.
  async remove(name: string): Promise<void> {
    const directory = await this.directory();
    for (const entry of [name, name + partEnd]) await removeFrom(directory, entry);
  }
  async removeThumbnail(name: string): Promise<void> {
    await removeFrom(await this.directory(thumbnailsName), name);
  }

  // The names of all files that are whole here.
  async names(): Promise<string[]> {
    const names: string[] = [];
    for await (const { name } of (await this.directory()).values())
      if (!name.endsWith(partEnd)) names.push(name);
    return names;
  }

  // A small picture of a picture that is here; kept, so that it stays when the file itself goes to make room. Null for what is
  // no picture to this browser.
  async thumbnail(name: string): Promise<Blob | null> {
    const kept = await this.find(name, thumbnailsName);
    if (kept && kept.size > 0) return kept;
    const whole = await this.file(name);
    if (!whole) return null;
    try {
      const picture = await createImageBitmap(whole);
      const scale = Math.min(1, thumbnailEdge / Math.max(picture.width, picture.height));
      const canvas = new OffscreenCanvas(
        Math.max(1, Math.round(picture.width * scale)),
        Math.max(1, Math.round(picture.height * scale)),
      );
      canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
      picture.close();
      const small = await canvas.convertToBlob({ type: "image/jpeg", quality: thumbnailQuality });
      await this.keepThumbnail(name, small);
      return small;
    } catch {
      return null; // It can be made again at any time.
    }
  }

  private async keepThumbnail(name: string, small: Blob): Promise<void> {
    const handle = await (await this.directory(thumbnailsName)).getFileHandle(name, { create: true });
    const bytes = await bytesOf(small);
    const open = await handle.createSyncAccessHandle();
    try {
      open.truncate(0);
      open.write(bytes);
    } finally {
      open.close();
    }
  }
}
