import type { RecordRef } from "../../proto/change_pb";

export type AnimalPicture = "intake" | "control" | "body" | "training" | "rotation";

export type PicturesPlace =
  | { at: "attention" }
  | { at: "collectionDay" }
  | { at: "animalPicture"; animal?: RecordRef; picture?: AnimalPicture }
  | { at: "waterPicture"; pool?: RecordRef };
