import type { RecordRef } from "../../proto/change_pb";

export type AdminPlace =
  | { at: "people" }
  | { at: "person"; person: RecordRef }
  | { at: "new-person" }
  | { at: "devices" }
  | { at: "admin-device"; device: RecordRef }
  | { at: "invite" }
  | { at: "trail"; record?: RecordRef }
  | { at: "proof" }
  | { at: "evidence"; records?: RecordRef[] };
