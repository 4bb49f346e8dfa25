// The kinds of record: their numbers, as in core/model/kinds.h, and their messages.
import type { DescMessage } from "@bufbuild/protobuf";
import * as events from "../proto/events_pb";
import * as plans from "../proto/plans_pb";
import * as roster from "../proto/roster_pb";

export const kind = {
  facility: 1,
  person: 2,
  device: 3,
  pool: 4,
  animal: 5,
  food: 6,
  dietPlan: 7,
  meal: 8,
  portion: 9,
  measure: 10,
  observation: 11,
  treatmentOrder: 12,
  administration: 13,
  lot: 14,
  stockMovement: 15,
  thawBatch: 16,
  enricher: 17,
  inspection: 18,
  enrichmentUse: 19,
  enrichmentPlan: 20,
  cue: 21,
  trainingSession: 22,
  watchPlan: 23,
  code: 24,
  scan: 25,
  waterReading: 26,
  waterLimit: 27,
  tag: 28,
  move: 29,
  hygieneCheck: 30,
  dayClose: 31,
  siteLimit: 32,
  hold: 33,
  attachment: 34,
  area: 35,
  presence: 36,
  hubAct: 37,
  pinWarning: 38,
  formerRole: 39,
} as const;

export type KindName = keyof typeof kind;
export type Kind = (typeof kind)[KindName];

// Each kind's message, by its number.
export const schemaOf: Record<Kind, DescMessage> = {
  1: roster.FacilitySchema,
  2: roster.PersonSchema,
  3: roster.DeviceSchema,
  4: roster.PoolSchema,
  5: roster.AnimalSchema,
  6: roster.FoodSchema,
  7: plans.DietPlanSchema,
  8: events.MealSchema,
  9: events.PortionSchema,
  10: events.MeasureSchema,
  11: events.ObservationSchema,
  12: plans.TreatmentOrderSchema,
  13: events.AdministrationSchema,
  14: roster.LotSchema,
  15: events.StockMovementSchema,
  16: events.ThawBatchSchema,
  17: roster.EnricherSchema,
  18: events.InspectionSchema,
  19: events.EnrichmentUseSchema,
  20: plans.EnrichmentPlanSchema,
  21: roster.CueSchema,
  22: events.TrainingSessionSchema,
  23: plans.WatchPlanSchema,
  24: roster.CodeSchema,
  25: events.ScanSchema,
  26: events.WaterReadingSchema,
  27: plans.WaterLimitSchema,
  28: roster.TagSchema,
  29: events.MoveSchema,
  30: events.HygieneCheckSchema,
  31: events.DayCloseSchema,
  32: plans.SiteLimitSchema,
  33: events.HoldSchema,
  34: events.AttachmentSchema,
  35: roster.AreaSchema,
  36: roster.PresenceSchema,
  37: roster.HubActSchema,
  38: roster.PinWarningSchema,
  39: roster.FormerRoleSchema,
};

// The name of a kind; null for one of a newer release.
export function kindName(number: number): KindName | null {
  const found = Object.entries(kind).find(([, one]) => one === number);
  return found ? (found[0] as KindName) : null;
}
