// The day of an area: what needs attention, what was offered and eaten against plan, doses, what was seen, closes.
import { fromBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { clock, dayText } from "../../core/time";
import { AdministrationSchema, ObservationSchema } from "../../proto/events_pb";
import { DueKind, type DueItem, DueState } from "../../proto/husbandry_pb";
import type { RecordView } from "../../proto/reading_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { attentionWord } from "./attention_words";
import { Close } from "./closes";
import { useNames } from "./record_words";
import { doseText, eatenText, massText, percent } from "./report_figures";
import { ReportFrame } from "./report_frame";

export const stateWord: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: words.due.upcoming,
  [DueState.DUE]: words.due.due,
  [DueState.LATE]: words.due.late,
  [DueState.MISSED]: words.due.missed,
  [DueState.DONE]: words.due.done,
  [DueState.NOT_KNOWN]: words.due.notKnown,
};

export function DayReport({ area, day }: { area: string; day: number }) {
  const { client, zone, status } = useShared();
  const names = useNames();
  const { report } = words.desk;
  const { answer, failure } = useAnswer(async () => {
    const offsets = zone.offsets(day);
    const inAccount = (views: RecordView[]) => views.filter((view) => !view.struck && !view.foldedInto);
    const [animals, round, attention, doses, seen, closes] = await Promise.all([
      client.ask({ case: "collectionDay", value: { day, area } }, "collectionDay"),
      client.ask({ case: "round", value: { day, area, zone: offsets } }, "round"),
      client.ask({ case: "attention", value: { day, zone: offsets } }, "attention"),
      listOfDay(kind.administration),
      listOfDay(kind.observation),
      client.ask({ case: "closes", value: { area, firstDay: day, lastDay: day } }, "closes"),
    ]);
    async function listOfDay(one: number) {
      const page = await client.ask(
        {
          case: "list",
          value: { kind: one, allSubjects: true, firstDay: day, lastDay: day, limit: 5000 },
        },
        "list",
      );
      return inAccount(page.records);
    }

    // An event whose animal is not known here is shown rather than lost.
    const here = new Set(animals.animals.flatMap((one) => (one.animal ? [recordKey(one.animal)] : [])));
    const isHere = (key: string | null) => area === "" || key === null || here.has(key);
    const due = round.items.filter((item) => item.dueKind === DueKind.DOSE);
    const shown = new Set<string>();
    const doseRows: string[][] = [];
    const rowOf = async (item: DueItem | null, view: RecordView | null) => {
      const dose = view && fromBinary(AdministrationSchema, view.fields);
      const order = dose?.order && (await names.view(dose.order));
      const animal = order ? fromBinary(TreatmentOrderSchema, order.fields).animal : undefined;
      if (!item && !isHere(animal ? recordKey(animal) : null)) return;
      doseRows.push([
        item
          ? item.slotMin === undefined
            ? words.anyTime
            : clock(item.slotMin)
          : report.besideOrder(clock(dose?.dueSlotMin ?? 0)),
        item ? item.subjectName : await names.of(animal),
        item ? item.what : order ? fromBinary(TreatmentOrderSchema, order.fields).preparation : "",
        view ? await doseText(view, names, zone) : item ? stateWord[item.state] : "",
        dose?.happenedMs === undefined ? "" : clock(zone.minute(Number(dose.happenedMs))),
        view ? await names.of(view.author) : "",
      ]);
    };
    for (const item of due) {
      const view = item.doneBy ? await names.view(item.doneBy) : null;
      if (item.doneBy) shown.add(recordKey(item.doneBy));
      await rowOf(item, view);
    }
    for (const view of doses) if (view.record && !shown.has(recordKey(view.record))) await rowOf(null, view);

    const seenRows: string[][] = [];
    for (const view of seen) {
      const observation = fromBinary(ObservationSchema, view.fields);
      if (!isHere(observation.animal ? recordKey(observation.animal) : null)) continue;
      seenRows.push([
        observation.happenedMs === undefined ? "" : clock(zone.minute(Number(observation.happenedMs))),
        await names.of(observation.animal),
        [observation.code, observation.text, observation.site].filter(Boolean).join(" · "),
        await names.of(view.author),
      ]);
    }
    return {
      animals: animals.animals,
      attention: attention.items,
      doseRows,
      seenRows,
      closes: closes.closes,
    };
  }, [client, names, zone, area, day]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.desk.reading}</p>;

  const isUnweighed = answer.animals.some((one) => (one.intake?.portionsUnweighed ?? 0) > 0);
  const recorded = answer.animals.filter((one) => one.intake?.recorded).length;
  return (
    <ReportFrame
      title={report.dayOf(area === "" ? words.allAreas : area, dayText(day))}
      cautions={[report.intakeCaution, words.doseCaution]}
    >
      <section>
        <h4>{report.attention}</h4>
        {answer.attention.length === 0 ? (
          <p>{report.noAttention}</p>
        ) : (
          <ul class="plain">
            {answer.attention.map((item, index) => (
              <li key={index} class={item.urgent ? "asks" : ""}>
                {item.urgent ? `${report.urgent}: ` : ""}
                <strong>{item.subjectName}</strong>{" "}
                {[item.what, attentionWord(item.rule)].filter(Boolean).join(": ")}{" "}
                <small>{item.sinceMs === 0n ? dayText(item.day) : zone.text(Number(item.sinceMs))}</small>
              </li>
            ))}
          </ul>
        )}
        {area !== "" && <p class="known">{report.attentionOfAll}</p>}
        <p class={status.reviewUrgent > 0 ? "asks" : ""}>
          {report.review(status.reviewUrgent, status.reviewOther)}
        </p>
      </section>
      <section>
        <h4>{report.intake}</h4>
        <p>{report.recorded(recorded, answer.animals.length)}</p>
        <Table
          caption={report.intake}
          head={[
            words.fields.pool,
            words.fields.animal,
            report.meals,
            words.fields.offered_mg,
            report.eaten,
            report.planned,
            report.ofPlan,
            report.ofBody,
          ]}
          figures={[2, 3, 4, 5, 6, 7]}
          rows={answer.animals.map((one) => [
            [one.area, one.poolName].filter(Boolean).join(" · "),
            one.animalName + (one.headCount > 1 ? ` (${one.headCount})` : ""),
            one.intake?.recorded ? one.intake.meals : report.notRecorded,
            massText(one.intake?.offeredMg),
            one.intake ? eatenText(one.intake) : "",
            massText(one.intake?.plannedMg),
            percent(one.intake?.planPpm),
            percent(one.intake?.bodyMassPpm),
          ])}
        />
        {isUnweighed && <p class="known">{report.unweighed}</p>}
      </section>
      <section>
        <h4>{report.doses}</h4>
        {answer.doseRows.length === 0 ? (
          <p>{report.noDoses}</p>
        ) : (
          <Table
            caption={report.doses}
            head={[
              report.dueAt,
              words.fields.animal,
              report.order,
              words.fields.outcome,
              report.at,
              report.byWhom,
            ]}
            rows={answer.doseRows}
          />
        )}
      </section>
      <section>
        <h4>{report.seen}</h4>
        {answer.seenRows.length === 0 ? (
          <p>{report.noneSeen}</p>
        ) : (
          <Table
            caption={report.seen}
            head={[report.at, words.fields.animal, words.fields.text, report.byWhom]}
            rows={answer.seenRows}
          />
        )}
      </section>
      <section>
        <h4>{report.closes}</h4>
        {answer.closes.length === 0 && <p>{report.notClosed}</p>}
        {answer.closes.map((close, index) => (
          <Close key={index} close={close} />
        ))}
      </section>
    </ReportFrame>
  );
}
