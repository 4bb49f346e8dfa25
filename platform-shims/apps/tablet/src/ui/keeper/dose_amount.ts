// The amount of a dose: as the core reckoned it, and as somebody types what was really given, in the order's own unit.
import { dose as doseText } from "../../core/amounts";
import { decimalTyped } from "./numbers";
import type { DoseCheckReply } from "../../proto/husbandry_pb";
import type { TreatmentOrder } from "../../proto/plans_pb";
import { words } from "../../words/words";

export type Given =
  | { givenUg: bigint }
  | { givenUl: bigint }
  | { givenUnits: bigint }
  | Record<string, never>;
export type DoseUnit = "mg" | "mL" | "units";

export function unitsOf(order: TreatmentOrder): DoseUnit[] {
  if (order.doseUg !== undefined) return ["mg"];
  if (order.doseUl !== undefined) return ["mL"];
  if (order.doseUnits !== undefined || order.doseUnitsPerKgFood !== undefined) return ["units"];
  return ["mL", "mg"];
}

export function givenTyped(text: string, unit: DoseUnit): Given | null {
  const value = decimalTyped(text, unit === "units" ? 0 : 3);
  if (value === null || value < 0n) return null;
  return unit === "mg" ? { givenUg: value } : unit === "mL" ? { givenUl: value } : { givenUnits: value };
}

// Given as ordered: by the order's own amount, else by what was measured. An amount that the core does not state as a whole
// number is left out; the order and what it was reckoned from stand in the record.
export function givenAsOrdered(order: TreatmentOrder, check: DoseCheckReply): Given {
  if (order.doseUg !== undefined) return { givenUg: order.doseUg };
  if (order.doseUl !== undefined) return { givenUl: order.doseUl };
  if (order.doseUnits !== undefined) return { givenUnits: order.doseUnits };
  if (check.measuredUl !== undefined) return { givenUl: check.measuredUl };
  const isRounded = check.roundingPpm !== undefined && check.roundingPpm !== 0;
  if (check.exactUg !== undefined && !isRounded) return { givenUg: check.exactUg };
  const units = check.exactUnitsThousandths;
  if (order.doseUnitsPerKgFood !== undefined && units !== undefined && units % 1000n === 0n)
    return { givenUnits: units / 1000n };
  return {};
}

// The amount in each way the order allows: the exact one, and the one to measure.
export function comesTo(order: TreatmentOrder, check: DoseCheckReply): { exact: string; measure: string } {
  const show = (parts: Parameters<typeof doseText>[0]) => doseText(parts, words.language);
  const isTablet = order.strengthUgPerUnit !== undefined;
  const exact = show({
    ...(check.exactUg === undefined ? {} : { ug: check.exactUg }),
    ...(check.exactUnitsThousandths === undefined || isTablet
      ? {}
      : { unitsThousandths: check.exactUnitsThousandths }),
    ...(check.exactUlThousandths === undefined || check.exactUlThousandths % 1000n !== 0n
      ? {}
      : { ul: check.exactUlThousandths / 1000n }),
  });
  const tablets = check.measuredUnitsThousandths;
  const measure =
    check.measuredUl !== undefined
      ? show({ ul: check.measuredUl })
      : tablets !== undefined
        ? words.keeper.dose.tablets(Number(tablets) / 1000)
        : "";
  return { exact, measure };
}
