// A report of the core in words: its codes, notes and cells, in the person's language. It adds no figure and leaves none out.
import { labelOf, recordWords, valueWords } from "../../core/field_words";
import { kind as kinds } from "../../core/kinds";
import { kindWord, type Names, shortId } from "../../core/names";
import { clock, dayText, type Zone } from "../../core/time";
import { units, unitNamed, type Unit, writeQuantity } from "../../core/units";
import { AttentionRule, Derived, DueState, Judgement } from "../../proto/husbandry_pb";
import { CloseStanding } from "../../proto/proof_pb";
import {
  type ReportCell,
  type ReportCode,
  type ReportColumn,
  ReportColumnType,
  type ReportField,
  ReportMark,
  type ReportTable,
} from "../../proto/report_pb";
import type { UnitName } from "../../proto/schema";
import { words } from "../../words/words";
import { derivedWords, judgementWords } from "../pictures/water_words";
import { attentionWord } from "./attention_words";

export interface Speaking {
  names: Names;
  zone: Zone;
}
type Catalogue = Record<string, string | undefined>;

const cautions: Catalogue = {
  caution_dose: words.doseCaution,
  caution_attention: words.desk.home.attentionCaution,
  caution_water: words.pictures.water.caution,
};
const dueWords: Record<DueState, string> = {
  [DueState.UNSPECIFIED]: "",
  [DueState.UPCOMING]: words.due.upcoming,
  [DueState.DUE]: words.due.due,
  [DueState.LATE]: words.due.late,
  [DueState.MISSED]: words.due.missed,
  [DueState.DONE]: words.due.done,
  [DueState.NOT_KNOWN]: words.due.notKnown,
};
const { standing } = words.desk.close;
const standingWords: Record<CloseStanding, string> = {
  [CloseStanding.UNSPECIFIED]: standing.other,
  [CloseStanding.SAID]: standing.said,
  [CloseStanding.HOLDS]: standing.holds,
  [CloseStanding.NOT_HERE]: standing.notHere,
  [CloseStanding.DIFFERENT]: standing.different,
};

const spaced = (code: string) => code.replaceAll("_", " ");

function choiceWord(of: string, code: string): string {
  const name = code.toUpperCase();
  switch (of) {
    case "DueState":
      return dueWords[DueState[name as keyof typeof DueState]];
    case "AttentionRule":
      return attentionWord(AttentionRule[name as keyof typeof AttentionRule]);
    case "Derived":
      return derivedWords(Derived[name as keyof typeof Derived]);
    case "Judgement":
      return judgementWords(Judgement[name as keyof typeof Judgement]);
    case "CloseStanding":
      return standingWords[CloseStanding[name as keyof typeof CloseStanding]];
    default:
      return (words.enumWords as Catalogue)[`${of}.${name}`] ?? spaced(code);
  }
}

// "meal" as a kind of record: "Meal". Null for what is none.
function kindCode(code: string): string | null {
  const name = code.replace(/_(.)/g, (_, letter: string) => letter.toUpperCase());
  return name in kinds ? kindWord(kinds[name as keyof typeof kinds]) : null;
}

function filled(text: string, parameters: string[]): string {
  return text.replace(/\{(\d)(?: ([^|}]*)\|([^}]*))?\}/g, (_, which: string, one?: string, many?: string) => {
    const said = parameters[Number(which)] ?? "";
    return one === undefined ? said : `${said} ${said === "1" ? one : (many ?? "")}`;
  });
}

// Units that stand for a mean or a sum are rounded to what a person reads; CSV is exact.
const steps: Partial<Record<UnitName, bigint>> = {
  massMg: 1000n,
  energyCal: 1000n,
  ppm: 1000n,
  nitrogenNgPerL: 100n,
  meanProbableNumber: 100n,
  salinity: 10n,
  density: 10n,
};
function rounded(value: bigint, step: bigint): bigint {
  return ((value < 0n ? value - step / 2n : value + step / 2n) / step) * step;
}
function unitCalled(code: string): { name: UnitName; unit: Unit } {
  const name = code.replace(/_(.)/g, (_, letter: string) => letter.toUpperCase()) as UnitName;
  // A figure below zero is shown, not hidden.
  return { name, unit: name === "massMg" ? units.massChangeMg : unitNamed(name) };
}
function numberText(value: bigint, code: string, isFigure: boolean): string {
  const { name, unit } = unitCalled(code);
  if (name === "clockMin") return clock(Number(value));
  return writeQuantity(unit, isFigure ? rounded(value, steps[name] ?? 1n) : value);
}

async function fieldText(field: ReportField, speaking: Speaking): Promise<string> {
  if (field.value === undefined) return labelOf(field.kind, field.field);
  const view = field.record && (await speaking.names.view(field.record));
  return valueWords(field.kind, field.field, field.value, speaking, view?.fields);
}

async function listText(cells: ReportCell[], type: ReportColumnType, speaking: Speaking): Promise<string> {
  const each = await Promise.all(cells.map((cell) => cellText(cell, type, "", speaking)));
  return each.join(", ");
}

// Tells a cell as people read it; nothing for an absent cell.
export async function cellText(
  cell: ReportCell,
  type: ReportColumnType,
  unit: string,
  speaking: Speaking,
): Promise<string> {
  const { is } = cell;
  const text = await (async () => {
    switch (is.case) {
      case "text":
        return is.value;
      case "number":
        return numberText(is.value, cell.unit || unit, type === ReportColumnType.FIGURE);
      case "day":
        return dayText(is.value);
      case "timeMs":
        return type === ReportColumnType.CLOCK
          ? clock(speaking.zone.minute(Number(is.value)))
          : speaking.zone.text(Number(is.value));
      case "code":
        return codeText(is.value, speaking);
      case "record":
        if (type === ReportColumnType.ID) return is.value.record ? shortId(is.value.record) : "";
        return is.value.name || speaking.names.of(is.value.record);
      case "field":
        return fieldText(is.value, speaking);
      case "list":
        return listText(is.value.cells, type, speaking);
      default:
        return "";
    }
  })();
  if (cell.mark === ReportMark.PART || cell.mark === ReportMark.DISAGREES) return `* ${text}`;
  return cell.mark === ReportMark.NOT_PROVEN ? words.reports.notProven(text) : text;
}

export async function codeText(code: ReportCode, speaking: Speaking): Promise<string> {
  if (code.of !== "") return choiceWord(code.of, code.code);
  const said = (words.reports.codes as Catalogue)[code.code];
  if (said === undefined) return kindCode(code.code) ?? spaced(code.code);
  return filled(said, await parametersOf(code, speaking));
}

// Numbers of notes are computed.
function parametersOf(code: ReportCode, speaking: Speaking): Promise<string[]> {
  return Promise.all(code.parameters.map((one) => cellText(one, ReportColumnType.FIGURE, "", speaking)));
}

export async function noteText(note: ReportCode, speaking: Speaking): Promise<string> {
  // An order is told by its own fields.
  if (note.code === "order") return orderText(note, speaking);
  const said = cautions[note.code] ?? (words.reports.notes as Catalogue)[note.code] ?? spaced(note.code);
  return filled(said, await parametersOf(note, speaking));
}

async function orderText(note: ReportCode, speaking: Speaking): Promise<string> {
  const is = note.parameters[0]?.is;
  const view = is?.case === "record" && is.value.record ? await speaking.names.view(is.value.record) : null;
  if (!view) return "";
  const told = await recordWords(view.kind, view.fields, speaking);
  // The animal and the preparation stand above.
  return told
    .slice(2)
    .map(([label, text]) => `${label}: ${text}`)
    .join(" · ");
}

export function columnTitle(column: ReportColumn): string {
  const { columns } = words.reports;
  return (
    (columns as Catalogue)[column.code] ?? (words.fields as Catalogue)[column.code] ?? spaced(column.code)
  );
}

export async function headingOf(table: ReportTable, speaking: Speaking): Promise<string> {
  if (table.about) {
    const text = await cellText(table.about, ReportColumnType.RECORD, "", speaking);
    return text === "pH" ? text : text.charAt(0).toLocaleUpperCase(words.language) + text.slice(1);
  }
  return (words.reports.headings as Catalogue)[table.code] ?? spaced(table.code);
}
