// Enrichment: what the rotation has next and why, its caution, and the response once somebody watched.
import { failureText } from "../../core/messages";
import { create, toBinary } from "@bufbuild/protobuf";
import { decimalText } from "./numbers";
import { kind } from "../../core/kinds";
import { getOne, recordKey, recordOf } from "../../core/records";
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import { EnrichmentUseSchema } from "../../proto/events_pb";
import { type EnricherChoice, EnricherState } from "../../proto/husbandry_pb";
import { EnricherSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Amount, Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { useWhen } from "./when";

const k = words.keeper.enrich;
const stateText: Record<EnricherState, string> = {
  [EnricherState.UNSPECIFIED]: "",
  [EnricherState.READY]: k.ready,
  [EnricherState.TOO_SOON]: k.tooSoon,
  [EnricherState.INSPECTION_DUE]: k.inspectionDue,
  [EnricherState.UNSAFE]: k.unsafe,
};
export const responses = k.responses.map((title, value) => ({ value, title }));

function reason(choice: EnricherChoice): string {
  const last = choice.lastDay === undefined ? k.never : k.last(dayText(choice.lastDay));
  const response =
    choice.responseThousandths === undefined
      ? k.notWatched
      : k.response(decimalText(BigInt(choice.responseThousandths), 3), choice.watched);
  const ready =
    choice.state === EnricherState.TOO_SOON && choice.readyDay !== undefined
      ? k.readyFrom(dayText(choice.readyDay))
      : "";
  return [last, k.uses(choice.uses), response, ready].filter(Boolean).join(" · ");
}

export function wholeMinutes(text: string): number | null {
  return /^\d{1,4}$/.test(text.trim()) ? Number(text) : null;
}

function Watched(props: {
  value: { response: number | null; minutes: string; note: string };
  set: (change: { response?: number | null; minutes?: string; note?: string }) => void;
}) {
  return (
    <>
      <h3>{k.responseTitle}</h3>
      <p>{k.responseHelp}</p>
      <Choice
        label={k.responseTitle}
        none
        options={responses}
        value={props.value.response}
        onValue={(response) => props.set({ response })}
      />
      <Amount
        label={words.keeper.minutesLong}
        value={props.value.minutes}
        onValue={(minutes) => props.set({ minutes })}
      />
      <Text label={words.keeper.note} value={props.value.note} onValue={(note) => props.set({ note })} />
    </>
  );
}
const unwatched = { response: null as number | null, minutes: "", note: "" };

const watchedFields = (value: typeof unwatched) => {
  const minutes = value.minutes.trim() === "" ? undefined : wholeMinutes(value.minutes);
  if (minutes === null) throw new Error(words.keeper.notMinutes);
  return {
    ...(value.response === null ? {} : { response: value.response }),
    ...(minutes === undefined ? {} : { minutes }),
    note: value.note,
  };
};

// One that was offered before, now watched.
export function EnrichWatched({ animal, use, leave }: { animal: About; use: RecordRef; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft(`watched.${recordKey(use)}`, unwatched);
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: held } = useAnswer(async () => {
    const one = await getOne(client, use, EnrichmentUseSchema);
    const enricher = one?.fields.enricher && (await getOne(client, one.fields.enricher, EnricherSchema));
    return one && { one, name: enricher?.fields.name ?? "" };
  }, [client, use]);
  if (!held) return <p>{words.loading}</p>;
  const { one, name } = held;
  const save = () => {
    try {
      const fields = create(EnrichmentUseSchema, watchedFields(draft.value));
      const value = { record: use, fields: toBinary(EnrichmentUseSchema, fields), seen: one.view.heads };
      saving.edit([{ case: "edit", value }], k.saved(name));
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  return (
    <Form
      title={k.watchedTitle(animal.name, name)}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      <p class="known">
        {one.fields.response === undefined
          ? k.notWatchedYet
          : k.recorded(responses[one.fields.response]?.title ?? words.keeper.newer)}
      </p>
      <Watched value={draft.value} set={draft.set} />
    </Form>
  );
}

export function Enrich({ animal, leave }: { animal: About; leave: () => void }) {
  const { client, zone, go } = useShared();
  const day = zone.day(Date.now());
  const draft = useDraft(`enrich.${recordKey(animal.record)}`, { enricher: "", ...unwatched });
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: reply, failure } = useAnswer(
    () => client.ask({ case: "enrichment", value: { animal: animal.record, day } }, "enrichment"),
    [client, animal, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!reply) return <p>{words.loading}</p>;
  const keyOf = (choice: EnricherChoice) => (choice.enricher ? recordKey(choice.enricher) : "");
  const chosen = reply.choices.find((choice) => keyOf(choice) === draft.value.enricher);

  const save = () => {
    const enricher = recordOf(draft.value.enricher);
    if (!chosen || !enricher) {
      saving.fail(k.noEnricher);
      return;
    }
    try {
      const use = create(EnrichmentUseSchema, {
        animal: animal.record,
        ...when(),
        enricher,
        ...watchedFields(draft.value),
      });
      const fields = toBinary(EnrichmentUseSchema, use);
      saving.log(
        { case: "log", value: { records: [{ kind: kind.enrichmentUse, fields }] } },
        k.saved(chosen.name),
      );
    } catch (error) {
      saving.fail(failureText(error, words.failed));
    }
  };
  const isReady = chosen?.state === EnricherState.READY;
  return (
    <Form
      title={k.title(animal.name)}
      caution={k.caution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" class={chosen && !isReady ? "warn" : undefined} onClick={save}>
          {chosen && !isReady ? k.allTheSame : k.offered}
        </button>
      }
    >
      <p>
        {reply.plannedPerWeek === undefined
          ? k.weekNoPlan(reply.usesThisWeek)
          : k.week(reply.usesThisWeek, reply.plannedPerWeek)}
      </p>
      {reply.choices.length === 0 && <p>{k.nothing}</p>}
      <div class="columns">
        <ul class="plain" aria-label={k.choose}>
          {reply.choices.map((choice, index) => (
            <li key={keyOf(choice)}>
              <button
                type="button"
                class={choice === chosen ? "option chosen" : "option quiet"}
                aria-pressed={choice === chosen}
                onClick={() => draft.set({ enricher: choice === chosen ? "" : keyOf(choice) })}
              >
                <span>
                  {choice.name}
                  {index === 0 && choice.state === EnricherState.READY ? ` · ${k.suggested}` : ""}
                </span>
                <small>
                  {[stateText[choice.state], reason(choice), choice.goal].filter(Boolean).join(" · ")}
                </small>
              </button>
            </li>
          ))}
        </ul>
        <div>
          {chosen && (
            <section class="pool">
              <h3>{chosen.name}</h3>
              {chosen.caution !== "" && <p class="caution">{chosen.caution}</p>}
              {!isReady && <p class="asks">{stateText[chosen.state]}</p>}
              {chosen.enricher && (
                <button
                  type="button"
                  class="quiet"
                  onClick={() =>
                    chosen.enricher &&
                    go({ at: "inspect", enricher: { record: chosen.enricher, name: chosen.name } })
                  }
                >
                  {k.inspect}
                </button>
              )}
              <Watched value={draft.value} set={draft.set} />
              {whenField}
            </section>
          )}
        </div>
      </div>
    </Form>
  );
}
