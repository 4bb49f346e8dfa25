// Figures of reports in words. What is not known stays empty or says so; it is never zero.
import { fieldLabel, fieldOf, recordWords } from "../../core/field_words";
import { kind } from "../../core/kinds";
import type { Names } from "../../core/names";
import type { Zone } from "../../core/time";
import { units, writeQuantity } from "../../core/units";
import type { IntakeDay } from "../../proto/husbandry_pb";
import type { RecordView } from "../../proto/reading_pb";
import { words } from "../../words/words";

export function massText(mg: bigint | undefined): string {
  return mg === undefined ? "" : writeQuantity(units.massChangeMg, mg);
}
export function percent(ppm: number | undefined): string {
  if (ppm === undefined) return "";
  return `${new Intl.NumberFormat(words.language, { maximumFractionDigits: 1 }).format(ppm / 10_000)} %`;
}
export function energy(cal: bigint | undefined): string {
  if (cal === undefined) return "";
  return `${new Intl.NumberFormat(words.language, { maximumFractionDigits: 0 }).format(Number(cal) / 1000)} kcal`;
}
// Sums the portions whose leftover was weighed, and is marked when there are others, since nobody knows of
// those.
export function eatenText(day: IntakeDay): string {
  if (!day.recorded) return "";
  if (day.eatenMg === undefined) return words.desk.report.notWeighed;
  return (day.portionsUnweighed > 0 ? "* " : "") + massText(day.eatenMg);
}

// "given 250 mg, swallowed at once": what became of a dose.
export async function doseText(view: RecordView, names: Names, zone: Zone): Promise<string> {
  const told = new Map(await recordWords(kind.administration, view.fields, { names, zone }));
  const of = (number: number) => {
    const field = fieldOf(kind.administration, number);
    return (field && told.get(fieldLabel(field))) ?? "";
  };
  const [outcome, ug, ul, inUnits, note] = [6, 7, 8, 9, 11].map(of);
  const amount = [ug, ul, inUnits].filter(Boolean).join(" ");
  return [`${outcome ?? ""} ${amount}`.trim(), note].filter(Boolean).join(", ");
}
