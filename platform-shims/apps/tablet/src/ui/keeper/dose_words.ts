// This file puts into words what the guard of doses says and what can become of a dose.
import { Outcome } from "../../proto/events_pb";
import { type DoseFinding, DoseRule } from "../../proto/husbandry_pb";
import { words } from "../../words/words";

const findingText: Partial<Record<DoseRule, string>> = {
  [DoseRule.SAME_SLOT]: words.findings.sameSlot,
  [DoseRule.TOO_SOON]: words.findings.tooSoon,
  [DoseRule.DAILY_MAX]: words.findings.dailyMax,
  [DoseRule.EARLY]: words.findings.early,
  [DoseRule.LATE]: words.findings.late,
  [DoseRule.MASS_OLD]: words.findings.massOld,
  [DoseRule.MASS_MISSING]: words.findings.massMissing,
  [DoseRule.OUTSIDE_ORDER]: words.findings.outsideOrder,
  [DoseRule.UNKNOWN_AMOUNT]: words.findings.unknownAmount,
  [DoseRule.NOT_IN_ACCOUNT]: words.findings.notInAccount,
  [DoseRule.WITNESS]: words.findings.witness,
  [DoseRule.UNCONFIRMED]: words.findings.unconfirmed,
  [DoseRule.UNCONFIRMED_AGAIN]: words.findings.unconfirmedAgain,
  [DoseRule.AMOUNT]: words.findings.amount,
};
export const textOfRule = (rule: DoseRule) => findingText[rule] ?? words.findings.other;
export const textOfFinding = (finding: DoseFinding) => textOfRule(finding.rule);

const outcomeText: Record<Outcome, string> = {
  [Outcome.UNSPECIFIED]: "",
  [Outcome.GIVEN]: words.outcome.given,
  [Outcome.PART]: words.keeper.dose.part,
  [Outcome.REFUSED]: words.outcome.refused,
  [Outcome.HELD]: words.outcome.held,
  [Outcome.LOST]: words.outcome.lost,
  [Outcome.UNKNOWN]: words.outcome.unknown,
};
export const textOfOutcome = (outcome: Outcome) =>
  (outcomeText as Partial<Record<number, string>>)[outcome] ?? words.keeper.newer;

// Whether something went into the animal.
export const goesIn = (outcome: Outcome | null) => outcome === Outcome.GIVEN || outcome === Outcome.PART;
