// This file puts an entry into one line, and says of whom or what it is.
import { fromBinary, type Message } from "@bufbuild/protobuf";
import { decimalText } from "./numbers";
import { kind } from "../../core/kinds";
import { clock } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import * as events from "../../proto/events_pb";
import { Parameter, Quantity } from "../../proto/plans_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { sizeText } from "../parts/size";
import { textOfOutcome } from "./dose_words";
import type { Names } from "./entry_names";
import { offeredOf } from "./left";
import { parameterName, quantityName, unitOfParameter, unitOfQuantity, withUnit } from "./units";
import { grams, slotText } from "./weigh_line";

const k = words.keeper.entries;

export interface Said {
  subject: RecordRef | undefined; // The animal, pool, enricher or lot.
  place: string; // Where there is no such record: the area.
  text: string;
}

export function portionText(portion: events.Portion, names: Names): string {
  const offered = offeredOf(portion);
  return [
    names.of(portion.food),
    offered === null ? words.keeper.left.notWeighed : words.offered(grams(offered)),
    portion.leftMg === undefined ? k.leftNotWeighed : k.left(grams(portion.leftMg)),
  ].join(" · ");
}
export function amountText(dose: events.Administration): string {
  if (dose.givenUg !== undefined) return `${decimalText(dose.givenUg, 3)} mg`;
  if (dose.givenUl !== undefined) return `${decimalText(dose.givenUl, 3)} mL`;
  if (dose.givenUnits !== undefined) return k.units(Number(dose.givenUnits));
  const isOpen = dose.outcome === events.Outcome.PART || dose.outcome === events.Outcome.UNKNOWN;
  return isOpen ? k.amountNotKnown : "";
}

const join = (...parts: (string | undefined)[]) => parts.filter(Boolean).join(" · ");

type Say = (bytes: Uint8Array, names: Names) => Omit<Said, "place">;
const says: Partial<Record<number, Say>> = {
  [kind.meal]: (bytes) => {
    const meal = fromBinary(events.MealSchema, bytes);
    const purpose = meal.purpose === undefined ? "" : k.purposes[meal.purpose];
    const slot = meal.slotMin === undefined ? "" : k.slot(slotText(meal.slotMin));
    return { subject: meal.animal, text: join(slot, purpose, meal.note) };
  },
  [kind.portion]: (bytes, names) => {
    const portion = fromBinary(events.PortionSchema, bytes);
    return { subject: undefined, text: portionText(portion, names) };
  },
  [kind.measure]: (bytes) => {
    const one = fromBinary(events.MeasureSchema, bytes);
    const quantity = one.quantity ?? Quantity.UNSPECIFIED;
    const value = one.value === undefined ? "" : withUnit(one.value, unitOfQuantity(quantity));
    return {
      subject: one.animal,
      text: join(quantityName(quantity), value, one.method, one.note),
    };
  },
  [kind.observation]: (bytes) => {
    const one = fromBinary(events.ObservationSchema, bytes);
    const score = one.score === undefined ? "" : k.score(one.score);
    return { subject: one.animal, text: join(one.code, score, one.site, one.text) };
  },
  [kind.administration]: (bytes, names) => {
    const one = fromBinary(events.AdministrationSchema, bytes);
    const slot = one.dueSlotMin === undefined ? "" : clock(one.dueSlotMin);
    const outcome = textOfOutcome(one.outcome ?? events.Outcome.UNSPECIFIED);
    const text = join(names.of(one.order), slot, outcome, amountText(one), one.note);
    return { subject: names.animalOf(one.order), text };
  },
  [kind.enrichmentUse]: (bytes, names) => {
    const one = fromBinary(events.EnrichmentUseSchema, bytes);
    const response =
      one.response === undefined ? k.notWatched : (words.keeper.enrich.responses[one.response] ?? "");
    return { subject: one.animal, text: join(names.of(one.enricher), response, one.note) };
  },
  [kind.trainingSession]: (bytes, names) => {
    const one = fromBinary(events.TrainingSessionSchema, bytes);
    const isCounted = one.trials !== undefined && one.successes !== undefined;
    const count = isCounted ? words.keeper.train.count(one.successes ?? 0, one.trials ?? 0) : "";
    return { subject: one.animal, text: join(names.of(one.cue), count, one.note) };
  },
  [kind.scan]: (bytes) => {
    const one = fromBinary(events.ScanSchema, bytes);
    const counts = one.counts.map(({ code, scans }) => `${code} ${scans}`).join(", ");
    const hidden = one.notVisible ? k.hidden(one.notVisible) : "";
    return { subject: one.animal, text: join(counts, hidden, one.note) };
  },
  [kind.waterReading]: (bytes) => {
    const one = fromBinary(events.WaterReadingSchema, bytes);
    const parameter = one.parameter ?? Parameter.UNSPECIFIED;
    const value = one.value === undefined ? "" : withUnit(one.value, unitOfParameter(parameter));
    return { subject: one.pool, text: join(parameterName(parameter), value, one.note) };
  },
  [kind.move]: (bytes, names) => {
    const one = fromBinary(events.MoveSchema, bytes);
    const way = k.way(names.of(one.fromPool), names.of(one.toPool));
    return { subject: one.animal, text: join(way, one.reason) };
  },
  [kind.hygieneCheck]: (bytes) => {
    const one = fromBinary(events.HygieneCheckSchema, bytes);
    const word = one.passed ? words.keeper.hygiene.yes : words.keeper.hygiene.no;
    return { subject: undefined, text: join(one.task, word, one.note) };
  },
  [kind.inspection]: (bytes) => {
    const one = fromBinary(events.InspectionSchema, bytes);
    const word = one.safe ? words.keeper.inspect.safe : words.keeper.inspect.unsafe;
    return { subject: one.enricher, text: join(word, one.findings) };
  },
  [kind.thawBatch]: (bytes) => {
    const one = fromBinary(events.ThawBatchSchema, bytes);
    const text = join(one.massMg === undefined ? "" : grams(one.massMg), one.note);
    return { subject: one.lot, text };
  },
  [kind.stockMovement]: (bytes) => {
    const one = fromBinary(events.StockMovementSchema, bytes);
    const change = one.changeMg ?? 0n;
    const mass = change < 0n ? `−${grams(-change)}` : `+${grams(change)}`;
    const text = join(one.changeMg === undefined ? "" : mass, one.note);
    return { subject: one.lot, text };
  },
  [kind.attachment]: (bytes) => {
    const one = fromBinary(events.AttachmentSchema, bytes);
    const text = join(one.name, sizeText(Number(one.bytes ?? 0)), one.note);
    return { subject: one.subject, text };
  },
};

// The kinds of entry there are at the pool, in the order in which they are offered.
export const entryKinds = [
  kind.meal,
  kind.administration,
  kind.observation,
  kind.measure,
  kind.enrichmentUse,
  kind.trainingSession,
  kind.scan,
  kind.waterReading,
  kind.inspection,
  kind.move,
  kind.hygieneCheck,
  kind.thawBatch,
  kind.stockMovement,
  kind.attachment,
] as const;

export function say(view: RecordView, names: Names): Said {
  const said = says[view.kind]?.(view.fields, names) ?? { subject: undefined, text: "" };
  return { ...said, place: view.areaName };
}
export function kindTitle(of: number): string {
  return (k.kinds as Partial<Record<number, string>>)[of] ?? words.keeper.newer;
}

// When it happened; null where that was not recorded.
export function happenedMs(fields: Message): number | null {
  const at = (fields as { happenedMs?: bigint }).happenedMs;
  return at === undefined ? null : Number(at);
}
