// A page and the core's worker exchange these questions and answers. Calls and replies are proto/call.proto's, in
// bytes.
import type { Reply } from "../proto/call_pb";
import type { RecordRef } from "../proto/change_pb";

export type Ask =
  | { op: "start" }
  // `writes`: must not be asked a second time by itself.
  | { op: "call"; call: Uint8Array; writes: boolean }
  // A one-time code handed in at the hub this page comes from; `hubKey` is the one that was shown to whoever did it.
  | { op: "enrol"; code: string; deviceName: string; hubKey: Uint8Array }
  // A code for another device, made by an admin.
  | { op: "invite"; admin: RecordRef; pin: string }
  // Posts what only the hub can do (proto/proving.proto): that somebody is at this tablet, another PIN, what the hub writes for them.
  | { op: "post"; path: HubPath; request: Uint8Array } // Uint8Array
  | { op: "exchange" }
  // Waits until the hub holds something new, or for as long as the hub lets one wait; true when it does.
  | { op: "news" }
  // Attached files (attached_files.ts). `name`: the SHA-256 in hexadecimal digits.
  | { op: "file-keep"; content: Blob } // KeptFile
  | { op: "file-drop"; name: string } // null
  | { op: "file-read"; name: string } // File, or null when it is not whole here
  | { op: "file-thumbnail"; name: string } // Blob, or null
  | { op: "file-fetch"; name: string; bytes: number } // HeldFile, after one part more
  | { op: "files-send" } // FilesSent, after one part more
  | { op: "files-here" } // FilesHere
  | { op: "files-make-room" }; // FilesHere: what was removed

export type HubPath = "/v1/presence" | "/v1/pin" | "/v1/act";

export type Started =
  | { state: "open" }
  | { state: "not-enrolled" }
  // `noPlace`: this browser has no place for records, so trying again is no use.
  | { state: "failed"; message: string; noPlace: boolean };

export interface Exchanged {
  sent: number;
  received: number;
  // Logs that were not taken in, in words.
  refusals: string[];
}

export interface KeptFile {
  name: string;
  bytes: number;
  mediaType: string;
}
export interface FilesSent {
  more: boolean; // Ask again.
  left: number; // Files on this tablet that the hub does not have all of.
  why: string; // At the end of a round: what the hub said of the first it did not take.
}
export interface FilesHere {
  files: number;
  bytes: number;
}

export interface Invitation {
  code: string;
  expiresMs: number; // The time on the hub's clock.
}

export class CallFailed extends Error {
  constructor(
    readonly code: number, // core/base/error.h
    message: string, // "" from a worker, which has no words: the client says what the code means.
    readonly reply?: Reply,
  ) {
    super(message);
  }
}

// The sentence that a failure carries; `otherwise` where it says nothing.
export function failureText(error: unknown, otherwise = ""): string {
  const message = error instanceof Error ? error.message : String(error);
  return message === "" ? otherwise : message;
}

// The codes a page acts on. Two are the worker's own: the core stopped in the middle of something (`halted`), and the hub that let
// this tablet in has another key than was shown (`otherHub`).
export const errorCode = {
  otherHub: -2,
  halted: -1,
  malformed: 1,
  tooLarge: 2,
  notFound: 20,
  invalid: 21,
  unauthorized: 23,
  unconfirmed: 25,
  atHub: 26,
  wrongPin: 27,
  diskFull: 41,
  transport: 46,
} as const;
