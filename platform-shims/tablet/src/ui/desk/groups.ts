// Which kinds stand together in the lists of the desk, and what of each a line of the list tells.
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

// Kinds whose approval is a field of theirs.
export const isApproved = (one: number) => one === kind.dietPlan || one === kind.enrichmentPlan;

// The fields a line tells, beside what the record is called.
export const brief: Partial<Record<Kind, string[]>> = {
  [kind.animal]: ["taxon", "pool", "head_count", "marks"],
  [kind.area]: ["note"],
  [kind.pool]: ["in_area", "volume_l"],
  [kind.tag]: ["tag_kind", "place", "applied_day", "gone_day", "fate"],
  [kind.food]: ["energy_cal_per_g", "water_ppm", "source"],
  [kind.lot]: ["store", "received_day", "use_by_day"],
  [kind.enricher]: ["goal", "gap_days", "caution"],
  [kind.cue]: ["signal", "criterion"],
  [kind.code]: ["topic"],
  [kind.person]: ["roles"],
  [kind.dietPlan]: ["first_day", "last_day", "lines", "approved_by"],
  [kind.treatmentOrder]: [
    "dose_ug",
    "dose_ul",
    "dose_units",
    "dose_ug_per_kg",
    "dose_ug_per_kg_food",
    "dose_units_per_kg_food",
    "route",
    "slots_min",
    "every_min",
    "first_day",
    "last_day",
    "ordered_by",
  ],
  [kind.enrichmentPlan]: ["times_per_week", "enrichers", "first_day", "last_day", "approved_by"],
  [kind.watchPlan]: ["quantity", "parameter", "every_days", "slots_min", "first_day", "last_day"],
  [kind.waterLimit]: ["parameter", "low", "high", "source", "unverified"],
  [kind.siteLimit]: ["of_kind", "of_field", "of_detail", "low", "high"],
  [kind.meal]: ["happened_ms", "purpose", "note"],
  [kind.administration]: ["outcome", "happened_ms", "given_ug", "given_ul", "given_units", "note"],
  [kind.observation]: ["code", "text", "score", "happened_ms"],
  [kind.measure]: ["quantity", "value", "method", "happened_ms"],
  [kind.waterReading]: ["parameter", "value", "happened_ms"],
  [kind.enrichmentUse]: ["enricher", "response", "minutes"],
  [kind.trainingSession]: ["cue", "trials", "successes"],
  [kind.scan]: ["counts", "not_visible"],
  [kind.inspection]: ["safe", "findings"],
  [kind.stockMovement]: ["cause", "change_mg", "counted_mg", "note"],
  [kind.thawBatch]: ["mass_mg", "method", "happened_ms", "thawed_ms", "discarded_ms"],
  [kind.move]: ["from_pool", "to_pool", "heads", "reason"],
  [kind.hygieneCheck]: ["task", "passed", "note"],
  [kind.attachment]: ["name", "note"],
};

// What belongs to a record and is shown with it.
export const partsOf: Partial<Record<Kind, Kind>> = {
  [kind.animal]: kind.tag,
  [kind.food]: kind.lot,
  [kind.meal]: kind.portion,
  [kind.treatmentOrder]: kind.administration,
  [kind.lot]: kind.stockMovement,
};
