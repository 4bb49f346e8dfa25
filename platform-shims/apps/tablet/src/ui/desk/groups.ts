// This file says which kinds stand together in the lists of the desk, and what a line of the list tells of
// each.
import { kind, type Kind } from "../../core/kinds";

export type Group = "roster" | "plans" | "entries";

export const groups: Record<Group, Kind[]> = {
  roster: [
    kind.animal,
    kind.area,
    kind.pool,
    kind.tag,
    kind.food,
    kind.lot,
    kind.enricher,
    kind.cue,
    kind.code,
    kind.person,
  ],
  plans: [
    kind.dietPlan,
    kind.treatmentOrder,
    kind.enrichmentPlan,
    kind.watchPlan,
    kind.waterLimit,
    kind.siteLimit,
  ],
  entries: [
    kind.meal,
    kind.administration,
    kind.observation,
    kind.measure,
    kind.waterReading,
    kind.enrichmentUse,
    kind.trainingSession,
    kind.scan,
    kind.inspection,
    kind.stockMovement,
    kind.thawBatch,
    kind.move,
    kind.hygieneCheck,
    kind.attachment,
  ],
};

// Written by the hub, by an admin, or by a call of their own.
const readOnly: Kind[] = [kind.facility, kind.person, kind.device, kind.dayClose, kind.hold, kind.attachment];
export const isReadOnly = (one: number) => (readOnly as number[]).includes(one);

// Records of the kind on the right belong to one on the left and are shown with it.
export const partsOf: Partial<Record<Kind, Kind>> = {
  [kind.animal]: kind.tag,
  [kind.food]: kind.lot,
  [kind.meal]: kind.portion,
  [kind.treatmentOrder]: kind.administration,
  [kind.lot]: kind.stockMovement,
};
