// A table of records of one kind, read row by row: what each would become, or why not. Nothing is written here; `checkRows`
// has the core judge all rows.
import { toBinary } from "@bufbuild/protobuf";
import Papa from "papaparse";
import type { RecordRef } from "../proto/change_pb";
import { words } from "../words/words";
import type { Client } from "./client";
import { type Draft, messageOf, numberInDraft } from "./draft";
import { type Kind, kindName, schemaOf } from "./kinds";
import { CallFailed, errorCode, failureText } from "./messages";
import type { Names } from "./names";
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

const snake = (name: string) => name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);
const checked = 100; // Rows a call.

// Has the core judge the rows by its rules. It judges what it is to log; so each call ends with a record that no rule lets
// through, all or none are logged, and nothing is. Adds what is wrong to the rows.
export async function checkRows(rows: Row[], kind: Kind, client: Client): Promise<void> {
  for (let from = 0; from < rows.length; from += checked) {
    const part = rows.slice(from, from + checked);
    const records = [...part.map(({ fields }) => ({ kind, fields })), { kind, fields: new Uint8Array() }];
    let failure: CallFailed;
    try {
      failure = await refusal(client, records);
    } catch (error) {
      if (error instanceof CallFailed && part[0]) part[0].problems.push(error.message);
      continue;
    }
    const name = snake(kindName(kind) ?? "");
    const rule = new RegExp(`${name} (\\d+): (.*?)(?=; ${name} \\d+: |; nothing was logged|$)`, "g");
    let isJudged = false;
    for (const match of failure.message.matchAll(rule)) {
      isJudged = true;
      part[Number(match[1]) - 1]?.problems.push(match[2] ?? "");
    }
    // Not about single rows: who writes it may not.
    if (!isJudged) part[0]?.problems.push(failure.message);
  }
}

// The core's word on them. What it only asks about is not refused: it is confirmed here, and asked again when it is written.
async function refusal(client: Client, records: { kind: number; fields: Uint8Array }[]): Promise<CallFailed> {
  const what = { case: "log" as const, value: { records } };
  let confirmed;
  for (let tried = 0; tried < 2; ++tried) {
    try {
      await client.look(what, "log", confirmed);
    } catch (error) {
      if (!(error instanceof CallFailed)) throw error;
      if (error.code !== errorCode.unconfirmed) return error;
      confirmed = { questions: error.reply?.failure?.questions ?? [], because: "" };
    }
  }
  return new CallFailed(0, words.failed);
}
