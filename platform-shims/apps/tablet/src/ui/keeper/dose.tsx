// A dose that is due: what it comes to by the order, what is known of others and since when, and what became of it.
import { create, toBinary } from "@bufbuild/protobuf";
import { decimalText } from "./numbers";
import { kind } from "../../core/kinds";
import { getOne, recordKey, recordOf } from "../../core/records";
import { AdministrationSchema, Outcome } from "../../proto/events_pb";
import { type DoseFinding, DoseRule, type DueItem, ReviewSeverity } from "../../proto/husbandry_pb";
import { TreatmentOrderSchema } from "../../proto/plans_pb";
import { words } from "../../words/words";
import { Amount, Choice, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { comesTo, type DoseUnit, givenAsOrdered, givenTyped, unitsOf } from "./dose_amount";
import { goesIn, textOfFinding, textOfOutcome } from "./dose_words";
import { Form } from "./form";
import { useDraft } from "./kept";
import { Known } from "./known";
import { people } from "./roster";
import { grams, slotText } from "./weigh_line";
import { useWhen } from "./when";

const k = words.keeper.dose;
const outcomes = [Outcome.GIVEN, Outcome.PART, Outcome.REFUSED, Outcome.HELD, Outcome.LOST, Outcome.UNKNOWN];

function Finding({ finding, isAsked }: { finding: DoseFinding; isAsked: boolean }) {
  const { zone, go } = useShared();
  const at = finding.happenedMs === 0n ? "" : zone.momentText(Number(finding.happenedMs), words.language);
  const who = [finding.authorName, at].filter(Boolean).join(", ");
  const { record } = finding;
  return (
    <li class={isAsked ? "asks" : ""}>
      {textOfFinding(finding)} {who}
      {finding.minutes > 0 ? ` (${lasting(finding.minutes)})` : ""}{" "}
      {record && (
        <button type="button" class="quiet" onClick={() => go({ at: "entry", record })}>
          {k.openEntry}
        </button>
      )}
    </li>
  );
}

function lasting(minutes: number): string {
  if (minutes < 120) return words.minutes(minutes);
  const hours = words.hours(Math.floor(minutes / 60));
  return minutes % 60 === 0 ? hours : `${hours} ${words.minutes(minutes % 60)}`;
}

export function Dose({ item, leave }: { item: DueItem; leave: () => void }) {
  const { client, zone } = useShared();
  const day = zone.day(item.dueMs === undefined ? Date.now() : Number(item.dueMs));
  const dueSlotMin = item.slotMin ?? zone.minute(item.dueMs === undefined ? Date.now() : Number(item.dueMs));
  const draft = useDraft(`dose.${item.plan ? recordKey(item.plan) : ""}.${day}.${dueSlotMin}`, {
    outcome: null as Outcome | null,
    amount: "",
    unit: "" as DoseUnit | "",
    witness: "",
    preparedBy: "",
    note: "",
    because: "",
    looked: false,
  });
  const { value, set } = draft;
  const { when, earlierMs, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: order } = useAnswer(
    async () => (item.plan ? await getOne(client, item.plan, TreatmentOrderSchema) : null),
    [client, item],
  );
  const { answer: staff } = useAnswer(() => people(client), [client]);
  const { answer: check, failure } = useAnswer(
    () =>
      client.ask(
        {
          case: "doseCheck",
          value: {
            ...(item.plan ? { order: item.plan } : {}),
            dueDay: day,
            dueSlotMin,
            atMs: BigInt(earlierMs ?? Date.now()),
            zone: zone.offsets(day),
          },
        },
        "doseCheck",
      ),
    [client, item, day, dueSlotMin, earlierMs],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!check || !order || !staff) return <p>{words.loading}</p>;

  const isIn = goesIn(value.outcome);
  const needsWitness = order.fields.needsWitness === true && isIn && value.witness === "";
  // A dose that does not go in cannot be one too many; that its slot has an entry is asked about all the same.
  const asked = check.findings.filter(
    (finding) =>
      finding.severity === ReviewSeverity.ASK &&
      finding.rule !== DoseRule.WITNESS &&
      finding.rule !== DoseRule.NOT_IN_ACCOUNT &&
      (isIn || finding.rule === DoseRule.SAME_SLOT),
  );
  // A question stands where it is answered, once it is known what became of the dose.
  const shown = check.findings.filter(
    (finding) => finding.rule !== DoseRule.WITNESS && !(value.outcome !== null && asked.includes(finding)),
  );
  const amount = comesTo(order.fields, check);
  const units = unitsOf(order.fields);
  const unit = value.unit === "" ? (units[0] ?? "mg") : value.unit;
  const orderedBy = staff.find(
    (one) => order.fields.orderedBy && one.key === recordKey(order.fields.orderedBy),
  )?.name;

  const save = () => {
    const { outcome } = value;
    if (outcome === null) {
      saving.fail(k.noOutcome);
      return;
    }
    const typed = value.amount.trim() === "" || !isIn ? null : givenTyped(value.amount, unit);
    if (isIn && value.amount.trim() !== "" && typed === null) {
      saving.fail(k.noAmount);
      return;
    }
    if (asked.length > 0 && !value.looked) {
      saving.fail(k.lookFirst);
      return;
    }
    if (needsWitness && value.because.trim() === "") {
      saving.fail(k.witnessMissing);
      return;
    }
    const given = typed ?? (outcome === Outcome.GIVEN ? givenAsOrdered(order.fields, check) : {});
    const said = [...asked.map(textOfFinding), ...(needsWitness ? [words.findings.witness] : [])];
    const witness = recordOf(value.witness);
    const preparedBy = recordOf(value.preparedBy);
    const { happenedMs, utcOffsetMin } = when();
    const administration = create(AdministrationSchema, {
      order: order.record,
      dueDay: day,
      dueSlotMin,
      happenedMs,
      utcOffsetMin,
      outcome,
      ...given,
      ...(witness && isIn ? { witness } : {}),
      ...(preparedBy ? { preparedBy } : {}),
      note: value.note,
      ...(check.reckonedFromMg === undefined ? {} : { reckonedFromMg: check.reckonedFromMg }),
      confirmed: said.length === 0 ? "" : `${value.because} [${said.join(" ")}]`.trim(),
    });
    const fields = toBinary(AdministrationSchema, administration);
    saving.log({ case: "log", value: { records: [{ kind: kind.administration, fields }] } }, words.doseSaved);
  };
  const persons = staff.map(({ key, name }) => ({ key, title: name, value: key }));
  return (
    <Form
      title={words.doseOf(item.subjectName, slotText(dueSlotMin))}
      caution={words.doseCaution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" class={asked.length > 0 || needsWitness ? "warn" : undefined} onClick={save}>
          {value.outcome === null ? words.save : k.saveAs(textOfOutcome(value.outcome))}
        </button>
      }
    >
      <div class="columns">
        <section class="pool">
          <h3>{order.fields.preparation}</h3>
          <p class="total">{amount.exact === "" ? words.doseNotReckoned : words.doseComesTo(amount.exact)}</p>
          {amount.measure !== "" && (
            <p class="total">
              {k.measure(amount.measure)}
              {check.roundingPpm !== undefined && check.roundingPpm !== 0 && (
                <small>
                  {" "}
                  {k.rounding(
                    `${check.roundingPpm > 0 ? "+" : ""}${decimalText(BigInt(check.roundingPpm), 4)}`,
                  )}
                </small>
              )}
            </p>
          )}
          {check.reckonedFromMg !== undefined && (
            <p>
              {check.bodyMassAgeDays === undefined
                ? words.keeper.prep.reckonedFromFood(grams(check.reckonedFromMg))
                : words.reckonedFrom(grams(check.reckonedFromMg), check.bodyMassAgeDays)}
            </p>
          )}
          <p>
            {[order.fields.route, order.fields.vehicle && k.vehicle(order.fields.vehicle)]
              .filter(Boolean)
              .join(" · ")}
          </p>
          {order.fields.instructions !== "" && <p>{order.fields.instructions}</p>}
          <p>{k.orderedBy(orderedBy ?? words.keeper.notKnown)}</p>
          <p>{words.givenToday(check.givenToday)}</p>
          <Known knownAsOfMs={check.knownAsOfMs} />
          {shown.length > 0 && (
            <ul class="findings">
              {shown.map((finding, index) => (
                <Finding key={index} finding={finding} isAsked={finding.severity === ReviewSeverity.ASK} />
              ))}
            </ul>
          )}
        </section>
        <section class="pool">
          <h3>{k.what}</h3>
          <Choice
            label={k.what}
            options={outcomes.map((one) => ({ value: one, title: textOfOutcome(one) }))}
            value={value.outcome}
            onValue={(outcome) => set({ outcome, looked: false })}
          />
          {(asked.length > 0 || needsWitness) && value.outcome !== null && (
            <div class="pool stop" role="alert">
              <h4>{words.reallyTitle}</h4>
              <ul class="findings">
                {asked.map((finding, index) => (
                  <Finding key={index} finding={finding} isAsked />
                ))}
                {needsWitness && <li class="asks">{words.findings.witness}</li>}
              </ul>
              <Text label={words.because} value={value.because} onValue={(because) => set({ because })} />
              {asked.length > 0 && (
                <button
                  type="button"
                  class={value.looked ? "chosen" : "quiet"}
                  aria-pressed={value.looked}
                  onClick={() => set({ looked: !value.looked })}
                >
                  {k.looked}
                </button>
              )}
            </div>
          )}
          {isIn && (
            <>
              <Amount
                label={value.outcome === Outcome.PART ? k.partAmount(unit) : k.otherAmount(unit)}
                value={value.amount}
                onValue={(typed) => set({ amount: typed })}
              />
              {units.length > 1 && (
                <Choice
                  label={k.unit}
                  options={units.map((one) => ({ value: one, title: one }))}
                  value={unit}
                  onValue={(one) => set({ unit: one ?? "" })}
                />
              )}
              <Picker
                label={order.fields.needsWitness ? k.witnessNeeded : k.witness}
                options={persons}
                chosen={value.witness}
                onValue={(_, witness) => set({ witness })}
              />
            </>
          )}
          <Picker
            label={k.preparedBy}
            options={persons}
            chosen={value.preparedBy}
            onValue={(_, preparedBy) => set({ preparedBy })}
          />
          <Text label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
          {whenField}
        </section>
      </div>
    </Form>
  );
}
