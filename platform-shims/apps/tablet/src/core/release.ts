// This tablet shows these for people to compare: which release of the app it runs, and which hub it comes from.
//
// The hub serves the signed manifest of the release that it serves now (sync-server/app_manifest.h). A newer one may wait here
// already, so the manifest is taken for this app's own only when it lists the program that this page began with: the build puts a
// hash of all of the program into that name.
import { fromHex, toHex } from "./bytes";

export const version = import.meta.env["VITE_VERSION"] as string;

const keptName = "wrackline-release";

async function served(path: string): Promise<ArrayBuffer> {
  const answer = await fetch(path, { cache: "no-store", credentials: "omit", redirect: "error" });
  if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
  return answer.arrayBuffer();
}

function program(): string {
  const script = document.querySelector<HTMLScriptElement>("script[type=module][src]");
  return script ? new URL(script.src).pathname : "";
}

// The SHA-256 of this release's manifest, in hexadecimal digits; it is kept for when the hub is out of reach. "" when it is not
// known here.
export async function manifestHash(): Promise<string> {
  const own = program();
  try {
    const manifest = await served("/release.txt");
    if (new TextDecoder().decode(manifest).includes(` ${own}\n`)) {
      const hash = toHex(new Uint8Array(await crypto.subtle.digest("SHA-256", manifest)));
      localStorage.setItem(keptName, `${own} ${hash}`);
    }
  } catch {
    // Out of reach: what was kept stands.
  }
  const [of, hash] = (localStorage.getItem(keptName) ?? "").split(" ");
  return of === own ? (hash ?? "") : "";
}

// The key of the hub that this page comes from, as that hub says it. Throws when it does not answer.
export async function servedHubKey(): Promise<Uint8Array<ArrayBuffer>> {
  return fromHex(new TextDecoder().decode(await served("/hub-key.txt")).replaceAll(/\s/g, ""));
}
