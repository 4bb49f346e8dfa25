// The core in WebAssembly, as its functions take and give bytes (platform-shims/bindings/wasm/core_module.cc).
import createModule, { type CoreModule } from "./generated/wrackline-core.mjs";
import wasmUrl from "./generated/wrackline-core.wasm?url";

export interface Files {
  name: string;
  handle: FileSystemSyncAccessHandle;
}

export class Core {
  private constructor(private readonly module: CoreModule) {}

  static async load(
    files: Files[],
    publicKey: Uint8Array,
    sign: (text: Uint8Array) => Uint8Array | null,
  ): Promise<Core> {
    return new Core(await createModule({ files, publicKey, sign, locateFile: () => wasmUrl }));
  }

  // Each answers with a serialised Reply.
  open(): Uint8Array<ArrayBuffer> {
    return this.reply(this.module._wrackline_open());
  }
  create(enrolReply: Uint8Array, deviceName: string): Uint8Array<ArrayBuffer> {
    return this.with([enrolReply, new TextEncoder().encode(deviceName)], (a, n, b, m) =>
      this.module._wrackline_create(a, n, b, m),
    );
  }
  call(call: Uint8Array): Uint8Array<ArrayBuffer> {
    return this.with([call], (a, n) => this.module._wrackline_call(a, n));
  }

  // The type of a file by what is in it; "" for one that is not taken.
  mediaType(content: Uint8Array): string {
    return new TextDecoder().decode(this.with([content], (a, n) => this.module._wrackline_media_type(a, n)));
  }

  // Bodies of requests to the hub; empty when this browser did not sign.
  enrolRequest(code: string, deviceName: string): Uint8Array<ArrayBuffer> {
    const encoder = new TextEncoder();
    return this.with([encoder.encode(code), encoder.encode(deviceName)], (a, n, b, m) =>
      this.module._wrackline_enrol_request(a, n, b, m),
    );
  }
  sessionRequest(nonce: Uint8Array): Uint8Array<ArrayBuffer> {
    return this.with([nonce], (a, n) => this.module._wrackline_session_request(a, n));
  }

  private with(
    parts: Uint8Array[],
    call: (a: number, n: number, b: number, m: number) => number,
  ): Uint8Array<ArrayBuffer> {
    const places = parts.map((part) => {
      const place = this.module._malloc(Math.max(1, part.length));
      this.module.HEAPU8.set(part, place);
      return place;
    });
    try {
      return this.reply(call(places[0] ?? 0, parts[0]?.length ?? 0, places[1] ?? 0, parts[1]?.length ?? 0));
    } finally {
      for (const place of places) this.module._free(place);
    }
  }
  // A copy: the module's own bytes are good until the next call only.
  private reply(place: number): Uint8Array<ArrayBuffer> {
    return this.module.HEAPU8.slice(place, place + this.module._wrackline_reply_size());
  }
}
