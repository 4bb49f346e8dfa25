// The treatments of an animal over some days: each order, and of each day what was due and what became of it.
import { fromBinary } from "@bufbuild/protobuf";
import { recordWords } from "../../core/field_words";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { clock, dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import { AdministrationSchema } from "../../proto/events_pb";
import { DueKind, type DueItem } from "../../proto/husbandry_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { marksOf } from "./lines";
import { useNames } from "./record_words";
import { stateWord } from "./report_day";
import { doseText } from "./report_figures";
import { ReportFrame } from "./report_frame";

interface Sheet {
  preparation: string;
  order: string;
  marks: string[];
  rows: string[][]; // Day, due, what became of it, when, by whom.
}
const mostDays = 62;

export function TreatmentsReport(props: { animal: RecordRef; name: string; first: number; last: number }) {
  const { client, zone } = useShared();
  const names = useNames();
  const { animal, first } = props;
  const last = Math.min(props.last, first + mostDays - 1);
  const { report } = words.desk;
  const { answer, failure } = useAnswer(async () => {
    const due = new Map<string, [number, DueItem][]>();
    for (let day = first; day <= last; ++day) {
      const round = await client.ask(
        { case: "round", value: { day, animals: [animal], zone: zone.offsets(day) } },
        "round",
      );
      for (const item of round.items) {
        if (item.dueKind !== DueKind.DOSE || !item.plan) continue;
        const key = recordKey(item.plan);
        due.set(key, [...(due.get(key) ?? []), [day, item]]);
      }
    }
    const { records } = await client.ask(
      { case: "list", value: { kind: kind.treatmentOrder, subject: animal, withStruck: true } },
      "list",
    );
    const sheets: Sheet[] = [];
    for (const view of records) {
      if (!view.record || view.foldedInto) continue;
      const given = await client.ask(
        {
          case: "list",
          value: { kind: kind.administration, subject: view.record, firstDay: first, lastDay: last },
        },
        "list",
      );
      const ofOrder = due.get(recordKey(view.record)) ?? [];
      const rows: [string, string[]][] = [];
      const shown = new Set<string>();
      for (const [day, item] of ofOrder) {
        const done = item.doneBy ? await names.view(item.doneBy) : null;
        if (item.doneBy) shown.add(recordKey(item.doneBy));
        const slot = item.slotMin === undefined ? words.anyTime : clock(item.slotMin);
        rows.push([
          `${dayText(day)} ${slot}`,
          [
            dayText(day),
            slot,
            done ? await doseText(done, names, zone) : stateWord[item.state],
            item.doneMs === 0n ? "" : clock(zone.minute(Number(item.doneMs))),
            done ? await names.of(done.author) : "",
          ],
        ]);
      }
      // A dose beside the order's times, or a second one in a slot: never out of sight.
      for (const one of given.records) {
        if (!one.record || shown.has(recordKey(one.record)) || one.struck || one.foldedInto) continue;
        const dose = fromBinary(AdministrationSchema, one.fields);
        const day = dose.dueDay === undefined ? "" : dayText(dose.dueDay);
        rows.push([
          `${day} ${clock(dose.dueSlotMin ?? 0)}`,
          [
            day,
            report.besideOrder(clock(dose.dueSlotMin ?? 0)),
            await doseText(one, names, zone),
            dose.happenedMs === undefined ? "" : clock(zone.minute(Number(dose.happenedMs))),
            await names.of(one.author),
          ],
        ]);
      }
      if (rows.length === 0) continue;
      const told = await recordWords(kind.treatmentOrder, view.fields, { names, zone });
      sheets.push({
        preparation: fromBinary(TreatmentOrderSchema, view.fields).preparation,
        order: told
          .slice(2)
          .map(([label, text]) => `${label}: ${text}`)
          .join(" · "),
        marks: marksOf(view),
        rows: rows.sort(([a], [b]) => a.localeCompare(b)).map(([, row]) => row),
      });
    }
    return sheets;
  }, [client, names, zone, animal, first, last]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.desk.reading}</p>;
  return (
    <ReportFrame
      title={report.treatmentsOf(props.name, dayText(first), dayText(last))}
      cautions={[words.doseCaution]}
    >
      {last < props.last && <p class="asks">{report.onlyDays(mostDays)}</p>}
      {answer.length === 0 && <p>{report.noOrders}</p>}
      {answer.map((sheet, index) => (
        <section key={index}>
          <h4>{sheet.preparation}</h4>
          <p>{sheet.order}</p>
          {sheet.marks.length > 0 && <p class="asks">{sheet.marks.join(" · ")}</p>}
          <Table
            caption={sheet.preparation}
            head={[words.fields.day, report.dueAt, words.fields.outcome, report.at, report.byWhom]}
            rows={sheet.rows}
          />
        </section>
      ))}
    </ReportFrame>
  );
}
