// A dose that is due: what it comes to by the order, what is known of others and since when, and what became of it.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { dose as doseText, mass } from "../../core/amounts";
import { kind } from "../../core/kinds";
import { clock } from "../../core/time";
import { AdministrationSchema, Outcome } from "../../proto/events_pb";
import { type DoseFinding, DoseRule, type DueItem, ReviewSeverity } from "../../proto/husbandry_pb";
import { age, words } from "../../words/words";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";

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
};
const outcomes: [Outcome, string][] = [
  [Outcome.GIVEN, words.outcome.given],
  [Outcome.REFUSED, words.outcome.refused],
  [Outcome.HELD, words.outcome.held],
  [Outcome.LOST, words.outcome.lost],
  [Outcome.UNKNOWN, words.outcome.unknown],
];

function Finding({ finding }: { finding: DoseFinding }) {
  const asks = finding.severity === ReviewSeverity.ASK;
  const who = [
    finding.authorName,
    finding.happenedMs === 0n ? "" : new Date(Number(finding.happenedMs)).toLocaleString(words.language),
  ];
  return (
    <li class={asks ? "asks" : ""}>
      {findingText[finding.rule] ?? words.findings.other} {who.filter(Boolean).join(", ")}
      {finding.minutes > 0 ? ` (${words.minutes(finding.minutes)})` : ""}
    </li>
  );
}

export function Dose({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client, zone } = useShared();
  const [looked, setLooked] = useState(false);
  const saving = useSaving(leave);
  const day = zone.day(Date.now());
  const { answer: check, failure } = useAnswer(
    () =>
      client.ask(
        {
          case: "doseCheck",
          value: {
            ...(item.plan ? { order: item.plan } : {}),
            dueDay: day,
            dueSlotMin: item.slotMin ?? 0,
            atMs: BigInt(Date.now()),
            zone: zone.offsets(day),
          },
        },
        "doseCheck",
      ),
    [client, item, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!check) return <p>{words.loading}</p>;
  const amount = doseText(
    {
      ...(check.exactUg === undefined ? {} : { ug: check.exactUg }),
      ...(check.measuredUl === undefined ? {} : { ul: check.measuredUl }),
      ...(check.exactUnitsThousandths === undefined ? {} : { unitsThousandths: check.exactUnitsThousandths }),
    },
    words.language,
  );
  const mustLook = check.findings.some((finding) => finding.severity === ReviewSeverity.ASK) && !looked;

  const save = (outcome: Outcome) => {
    const { happenedMs, utcOffsetMin } = zone.when(Date.now());
    const administration = create(AdministrationSchema, {
      ...(item.plan ? { order: item.plan } : {}),
      dueDay: day,
      dueSlotMin: item.slotMin ?? 0,
      happenedMs,
      utcOffsetMin,
      outcome,
      ...(check.reckonedFromMg === undefined ? {} : { reckonedFromMg: check.reckonedFromMg }),
    });
    const fields = toBinary(AdministrationSchema, administration);
    saving.log({ case: "log", value: { records: [{ kind: kind.administration, fields }] } }, words.doseSaved);
  };
  return (
    <main>
      <h2>{words.doseOf(item.subjectName, clock(item.slotMin ?? 0))}</h2>
      <p class="caution">{words.doseCaution}</p>
      <p class="total">{item.what}</p>
      <p class="total">{amount === "" ? words.doseNotReckoned : words.doseComesTo(amount)}</p>
      {check.reckonedFromMg !== undefined && check.bodyMassAgeDays !== undefined && (
        <p>{words.reckonedFrom(mass(check.reckonedFromMg, words.language), check.bodyMassAgeDays)}</p>
      )}
      <p>{words.givenToday(check.givenToday)}</p>
      <p class="known">
        {check.knownAsOfMs === 0n
          ? words.knownNever
          : words.known(age(Date.now() - Number(check.knownAsOfMs)))}
      </p>
      <ul class="findings">
        {check.findings.map((finding, index) => (
          <Finding key={index} finding={finding} />
        ))}
      </ul>
      {saving.failure}
      {mustLook ? (
        <div class="row foot">
          <button type="button" class="quiet" onClick={leave}>
            {words.cancel}
          </button>
          <button type="button" class="warn" onClick={() => setLooked(true)}>
            {words.goOn}
          </button>
        </div>
      ) : (
        <div class="row foot">
          <button type="button" class="quiet" onClick={leave}>
            {words.cancel}
          </button>
          {outcomes.map(([outcome, word]) => (
            <button
              type="button"
              key={outcome}
              class={outcome === Outcome.GIVEN ? "" : "quiet"}
              onClick={() => save(outcome)}
            >
              {word}
            </button>
          ))}
        </div>
      )}
      {saving.really}
    </main>
  );
}
