// Something seen of an animal: a code of the facility's own list, its score and place where it has them, and words.
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { ObservationSchema } from "../../proto/events_pb";
import { Topic } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { codes, topicName, topicsOf } from "./codes";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { useWhen } from "./when";

const k = words.keeper.seen;

export function Seen({ animal, leave }: { animal: About; leave: () => void }) {
  const { client } = useShared();
  const draft = useDraft(`seen.${recordKey(animal.record)}`, {
    topic: null as Topic | null,
    code: "",
    score: "",
    site: "",
    text: "",
  });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const { answer: all } = useAnswer(() => codes(client), [client]);
  const topics = topicsOf(all ?? []);
  const ofTopic = (all ?? []).filter((one) => value.topic !== null && one.topic === value.topic);
  const chosen = ofTopic.find((one) => one.code === value.code);

  const save = () => {
    const score = value.score.trim();
    if (score !== "" && !/^\d{1,4}$/.test(score)) {
      saving.fail(k.noScore);
      return;
    }
    const observation = create(ObservationSchema, {
      animal: animal.record,
      ...when(),
      code: value.code,
      text: value.text,
      ...(value.topic === null || value.topic === Topic.UNSPECIFIED ? {} : { topic: value.topic }),
      ...(score === "" ? {} : { score: Number(score) }),
      site: value.site,
    });
    const fields = toBinary(ObservationSchema, observation);
    saving.log({ case: "log", value: { records: [{ kind: kind.observation, fields }] } }, words.seenSaved);
  };
  return (
    <Form
      title={words.seenTitle(animal.name)}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      {all?.length === 0 && <p>{k.noCodes}</p>}
      <div class="columns">
        <div>
          {topics.length > 0 && <h3>{k.topic}</h3>}
          <Choice
            label={k.topic}
            none
            options={topics.map((topic) => ({ value: topic, title: topicName(topic) }))}
            value={value.topic}
            onValue={(topic) => set({ topic, code: "" })}
          />
          {ofTopic.length > 0 && (
            <ul class="plain" aria-label={k.code}>
              {ofTopic.map((one) => (
                <li key={one.code}>
                  <button
                    type="button"
                    class={one === chosen ? "option chosen" : "option quiet"}
                    aria-pressed={one === chosen}
                    onClick={() => set({ code: one === chosen ? "" : one.code })}
                  >
                    <span>{one.code}</span>
                    <small>{one.meaning}</small>
                  </button>
                </li>
              ))}
            </ul>
          )}
        </div>
        <div>
          <Text label={k.score} value={value.score} onValue={(score) => set({ score })} />
          <Text label={k.site} value={value.site} onValue={(site) => set({ site })} />
          <Text long label={words.seenText} value={value.text} onValue={(text) => set({ text })} />
          {whenField}
        </div>
      </div>
    </Form>
  );
}
