// One due thing, as a line that leads to where it is done, or to what was written of it.
import { mass } from "../../core/amounts";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { Outcome } from "../../proto/events_pb";
import { type DueItem, DueKind, DueState } from "../../proto/husbandry_pb";
import { Parameter, Quantity } from "../../proto/plans_pb";
import { words } from "../../words/words";
import type { Place } from "../place";
import { useShared } from "../state";
import { textOfOutcome } from "./dose_words";
import { readTray, trayName } from "./tray";
import { parameterName, quantityName } from "./units";
import { slotText } from "./weigh_line";

const stateWord: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: words.due.upcoming,
  [DueState.DUE]: words.due.due,
  [DueState.LATE]: words.due.late,
  [DueState.MISSED]: words.due.missed,
  [DueState.DONE]: words.due.done,
  [DueState.NOT_KNOWN]: words.due.notKnown,
};
const stateClass: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: "upcoming",
  [DueState.DUE]: "due",
  [DueState.LATE]: "late",
  [DueState.MISSED]: "missed",
  [DueState.DONE]: "done",
  [DueState.NOT_KNOWN]: "not-known",
};
const kindWord: Record<DueKind, string> = {
  [DueKind.UNSPECIFIED]: "",
  [DueKind.MEAL]: words.kinds.meal,
  [DueKind.DOSE]: words.kinds.dose,
  [DueKind.ENRICHMENT]: words.kinds.enrichment,
  [DueKind.MEASURE]: words.kinds.measure,
  [DueKind.WATER]: words.kinds.water,
  [DueKind.INSPECTION]: words.kinds.inspection,
};

// Where a tap leads. Null: a kind of a newer release.
export function placeOf(item: DueItem): Place | null {
  const { subject, subjectName, doneBy } = item;
  if (!subject) return null;
  const about = { record: subject, name: subjectName };
  switch (item.dueKind) {
    case DueKind.MEAL:
      return doneBy
        ? { at: "left", meal: doneBy, title: words.leftTitle(subjectName, slotText(item.slotMin)) }
        : { at: "meal", item };
    case DueKind.DOSE:
      return { at: "dose", item };
    case DueKind.ENRICHMENT:
      return { at: "enrich", animal: about, ...(doneBy ? { use: doneBy } : {}) };
    case DueKind.MEASURE:
      return doneBy
        ? { at: "entry", record: doneBy }
        : { at: "measure", animal: about, quantity: item.quantity };
    case DueKind.WATER:
      return doneBy ? { at: "entry", record: doneBy } : { at: "water", pool: about };
    case DueKind.INSPECTION:
      return doneBy ? { at: "entry", record: doneBy } : { at: "inspect", enricher: about };
    default:
      return null;
  }
}

function whatOf(item: DueItem): string {
  const measured =
    item.quantity !== Quantity.UNSPECIFIED
      ? quantityName(item.quantity)
      : item.parameter !== Parameter.UNSPECIFIED
        ? parameterName(item.parameter)
        : "";
  const planned = item.plannedMg === undefined ? "" : words.planned(mass(item.plannedMg, words.language));
  return [measured, item.what, planned].filter(Boolean).join(" · ");
}

export function DueLine({ item, unweighed }: { item: DueItem; unweighed?: RecordRef[] }) {
  const { go, zone } = useShared();
  const place = placeOf(item);
  // A dose that was refused is no dose that is done.
  const fell = item.outcome !== Outcome.UNSPECIFIED && item.outcome !== Outcome.GIVEN;
  const isOpen = unweighed?.some((meal) => sameRecord(meal, item.doneBy)) === true;
  const tray =
    item.dueKind === DueKind.MEAL && !item.doneBy
      ? readTray(trayName(zone.day(Date.now()), item.subject, item.slotMin))
      : null;
  const line = (
    <>
      <span class="slot">{slotText(item.slotMin)}</span>
      <span class="what">
        <strong>{item.subjectName}</strong>{" "}
        {[kindWord[item.dueKind], whatOf(item)].filter(Boolean).join(": ")}
        {isOpen && <span class="hint">{words.keeper.today.weighLeft}</span>}
        {tray && (
          <span class="food">{words.keeper.scale.preparedBy(tray.value.by, zone.clockAt(tray.atMs))}</span>
        )}
      </span>
      <span class={`state ${fell ? "due" : stateClass[item.state]}`}>
        {fell ? textOfOutcome(item.outcome).toLocaleLowerCase(words.language) : stateWord[item.state]}
      </span>
    </>
  );
  return (
    <li>
      {place ? (
        <button type="button" class="item" onClick={() => go(place)}>
          {line}
        </button>
      ) : (
        <div class="item">{line}</div>
      )}
    </li>
  );
}
