// A report of the core, whichever it is: its tables with their notes, to be read and printed, and each table as a file.
import type { MessageInitShape } from "@bufbuild/protobuf";
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { dayText } from "../../core/time";
import {
  ReportColumnType,
  type ReportCallSchema,
  ReportKind,
  type ReportReply,
  type ReportTable,
} from "../../proto/report_pb";
import { words } from "../../words/words";
import { saveFile } from "../device/save_file";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { ReportFrame } from "./report_frame";
import { useNames } from "./record_words";
import { cellText, columnTitle, headingOf, noteText, type Speaking } from "./report_words";

export type ReportAsk = MessageInitShape<typeof ReportCallSchema>;

interface TableWords {
  code: string;
  heading: string;
  notes: string[];
  head: string[];
  figures: number[];
  rows: string[][];
}

async function tableWords(table: ReportTable, speaking: Speaking): Promise<TableWords> {
  const texts = await Promise.all(
    table.rows.map((row) =>
      Promise.all(
        table.columns.map((column, at) => {
          const cell = row.cells[at];
          return cell ? cellText(cell, column.type, column.unit, speaking) : Promise.resolve("");
        }),
      ),
    ),
  );
  // A column that says nothing in every row is left out.
  const shown = table.columns.flatMap((column, at) =>
    column.onlyData || texts.every((row) => row[at] === "") ? [] : [at],
  );
  const isFigure = (at: number) =>
    table.columns[at]?.type === ReportColumnType.NUMBER ||
    table.columns[at]?.type === ReportColumnType.FIGURE;
  return {
    code: table.code,
    heading: await headingOf(table, speaking),
    notes: await Promise.all(table.notes.map((note) => noteText(note, speaking))),
    head: shown.map((at) => {
      const column = table.columns[at];
      return column ? columnTitle(column) : "";
    }),
    figures: shown.flatMap((at, place) => (isFigure(at) ? [place] : [])),
    rows: texts.map((row) => shown.map((at) => row[at] ?? "")),
  };
}

function titleOf(reply: ReportReply): string {
  const { titles } = words.reports;
  const [first, last] = [dayText(reply.firstDay), dayText(reply.lastDay)];
  const heads = reply.headCount > 1 ? ` (${reply.headCount})` : "";
  const of = reply.subjectName + heads;
  switch (reply.report) {
    case ReportKind.DAY:
      return titles.day(reply.area || words.allAreas, last);
    case ReportKind.MONTH:
      return titles.month(of || reply.area || words.reports.allAnimals, first, last);
    case ReportKind.TREATMENTS:
      return titles.treatments(of, first, last);
    case ReportKind.WATER:
      return titles.water(of, first, last);
    case ReportKind.RETENTION:
      return titles.retention(last);
    default:
      return titles.animal(of, first, last);
  }
}

export function ReportView({ ask }: { ask: ReportAsk }) {
  const { client, zone } = useShared();
  const names = useNames();
  const [failed, setFailed] = useState("");
  const { answer, failure } = useAnswer(async () => {
    const reply = await client.ask({ case: "report", value: ask }, "report");
    const speaking = { names, zone };
    const sayAll = (notes: ReportReply["notes"]) =>
      Promise.all(notes.map((note) => noteText(note, speaking)));
    const isCaution = ({ code }: { code: string }) => code.startsWith("caution_");
    return {
      title: titleOf(reply),
      notes: await sayAll(reply.notes.filter((note) => !isCaution(note))),
      cautions: await sayAll(reply.notes.filter(isCaution)),
      tables: await Promise.all(
        reply.tables.filter((table) => !table.onlyData).map((table) => tableWords(table, speaking)),
      ),
    };
  }, [client, names, zone, ask]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!answer) return <p>{words.desk.reading}</p>;

  const save = async (table: TableWords) => {
    setFailed("");
    try {
      const { csv } = await client.ask(
        { case: "csv", value: { of: { case: "report", value: ask }, table: table.code } },
        "csv",
      );
      // The mark at the beginning tells spreadsheets that it is UTF-8.
      saveFile(`${table.code}-${dayText(ask.lastDay ?? 0)}.csv`, "text/csv", `\ufeff${csv}`);
    } catch (error) {
      setFailed(failureText(error));
    }
  };
  return (
    <ReportFrame title={answer.title} cautions={answer.cautions}>
      {answer.notes.map((note) => (
        <p key={note}>{note}</p>
      ))}
      {failed !== "" && (
        <p class="failure" role="alert">
          {failed}
        </p>
      )}
      {answer.tables.map((table, index) => (
        <section key={index}>
          <h4>{table.heading}</h4>
          {table.notes.map((note) => (
            <p class="known" key={note}>
              {note}
            </p>
          ))}
          {table.rows.length > 0 && (
            <>
              <Table caption={table.heading} head={table.head} figures={table.figures} rows={table.rows} />
              <button type="button" class="quiet screen-only" onClick={() => void save(table)}>
                {words.reports.saveTable(table.heading)}
              </button>
            </>
          )}
        </section>
      ))}
    </ReportFrame>
  );
}
