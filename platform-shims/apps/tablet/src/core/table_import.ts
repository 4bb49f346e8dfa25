// A table of records of one kind, read row by row: what each would become, or why not. Nothing is written here; `checkRows`
// has the core judge all rows.
import { toBinary } from "@bufbuild/protobuf";
import Papa from "papaparse";
import type { RecordRef } from "../proto/change_pb";
import { words } from "../words/words";
import type { Client } from "./client";
import { type Draft, messageOf, numberInDraft } from "./draft";
import { type Kind, schemaOf } from "./kinds";
import { CallFailed, failureText } from "./messages";
import type { Names } from "./names";
import { problemText } from "./problems";
import { recordKey } from "./records";
import { cellText, cellTyped, type Column, columnsOf, readingOrder } from "./table_cells";
import type { Zone } from "./time";

export interface Row {
  line: number; // The line as a person counts it in the file, the header being 1.
  fields: Uint8Array;
  problems: string[];
}
export interface TableRead {
  rows: Row[];
  problem: string; // The problem of the table as a whole.
}

function placesOf(header: string[], columns: Column[]): { column: Column; at: number }[] {
  const places = header.map((title, at) => {
    const column = columns.find((one) => one.title === title.trim());
    if (!column)
      throw new Error(words.desk.import.noColumn(title, columns.map((one) => one.title).join(", ")));
    if (header.indexOf(title) !== at) throw new Error(words.desk.import.twiceColumn(title));
    return { column, at };
  });
  return places.sort((a, b) => readingOrder(a.column) - readingOrder(b.column));
}

export async function readTable(
  text: string,
  kind: Kind,
  names: Names,
  zone: Zone,
  again: boolean,
  client: Client,
): Promise<TableRead> {
  const parsed = Papa.parse<string[]>(text.replace(/^\uFEFF/, ""), {
    delimiter: (text.split("\n")[0] ?? "").includes(";") ? ";" : ",",
    skipEmptyLines: true,
  });
  const broken = parsed.errors[0];
  if (broken) return { rows: [], problem: words.desk.import.broken((broken.row ?? 0) + 1, broken.message) };
  const [header, ...lines] = parsed.data;
  if (!header || lines.length === 0) return { rows: [], problem: words.desk.import.empty };
  const desc = schemaOf[kind];
  let places;
  try {
    places = placesOf(header, columnsOf(desc));
  } catch (error) {
    return { rows: [], problem: failureText(error) };
  }
  const known = again ? new Set<string>() : await knownOf(kind, client);

  const rows: Row[] = [];
  for (const [index, cells] of lines.entries()) {
    const problems: string[] = [];
    if (cells.length > header.length) problems.push(words.desk.import.tooMany(cells.length, header.length));
    const draft: Draft = {};
    for (const { column, at } of places) {
      const cell = cellText(cells[at] ?? "");
      if (cell.trim() === "") continue;
      if (!column.field) {
        if (known.has(idKey(cell))) problems.push(words.desk.import.hereAlready(cell));
        continue;
      }
      try {
        draft[column.field.name] = await cellTyped(column, cell, draft, names, numberInDraft(draft));
      } catch (error) {
        problems.push(`${column.title}: ${failureText(error)}`);
      }
    }
    const made = messageOf(desc, draft, zone);
    for (const [name, problem] of made.problems) problems.push(`${name}: ${problem}`);
    const fields = toBinary(desc, made.message);
    if (problems.length === 0 && known.has(fields.toString())) problems.push(words.desk.import.sameRecorded);
    rows.push({ line: index + 2, fields, problems });
  }
  return { rows, problem: "" };
}

const idKey = (cell: string) => {
  const match = /^([0-9a-f]+)\.(\d+)$/i.exec(cell.trim());
  return match ? `${BigInt(`0x${match[1] ?? "0"}`).toString(16)}-${Number(match[2])}` : "";
};

// Gathers the records of the kind by id and by content: a table brought in twice would make each record a second time.
async function knownOf(kind: Kind, client: Client): Promise<Set<string>> {
  const known = new Set<string>();
  let after: RecordRef | undefined;
  for (;;) {
    const page = await client.ask(
      { case: "list", value: { kind, allSubjects: true, withStruck: true, ...(after ? { after } : {}) } },
      "list",
    );
    for (const view of page.records) {
      if (view.record) known.add(recordKey(view.record));
      if (!view.struck) known.add(view.fields.toString());
    }
    after = page.records.at(-1)?.record;
    if (!page.more) return known;
  }
}

const checked = 100; // Rows a call.

// Has the core judge the rows by its rules, and adds what is wrong to them. What the core only asks about is asked when
// they are written.
export async function checkRows(rows: Row[], kind: Kind, client: Client): Promise<void> {
  const columns = columnsOf(schemaOf[kind]);
  for (let from = 0; from < rows.length; from += checked) {
    const part = rows.slice(from, from + checked);
    const records = part.map(({ fields }) => ({ kind, fields }));
    try {
      const what = { case: "log" as const, value: { records, checkOnly: true } };
      for (const problem of (await client.look(what, "log")).problems) {
        const column = columns.find(({ field }) => field?.number === problem.field);
        const text = problemText(problem);
        part[problem.record]?.problems.push(column ? `${column.title}: ${text}` : text);
      }
    } catch (error) {
      if (!(error instanceof CallFailed)) throw error;
      // Not about single rows: the person may not write records of this kind.
      part[0]?.problems.push(error.message);
      return;
    }
  }
}
