// A cleaning or check of a place.
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { listAll } from "../../core/records";
import { HygieneCheckSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import { Choice, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Form } from "./form";
import { useDraft } from "./kept";
import { areas as areasHere } from "./roster";
import { useWhen } from "./when";

const k = words.keeper.hygiene;
const lookBackDays = 60;

export function Hygiene({ area, leave }: { area: string; leave: () => void }) {
  const { client, zone } = useShared();
  const draft = useDraft(`hygiene.${area}`, {
    area: "", // Key of its record; empty until another than the one it was opened for is chosen.
    task: "",
    passed: null as boolean | null,
    note: "",
  });
  const { value, set } = draft;
  const { when, field: whenField } = useWhen();
  const { answer: areas } = useAnswer(() => areasHere(client), [client]);
  const chosen = areas?.find(({ key, name }) => (value.area === "" ? name === area : key === value.area));
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  // The facility has no list of tasks: those it wrote before are offered again.
  const { answer: tasks } = useAnswer(async () => {
    const day = zone.day(Date.now());
    const checks = await listAll(client, kind.hygieneCheck, HygieneCheckSchema, {
      allSubjects: true,
      firstDay: day - lookBackDays,
      lastDay: day,
    });
    return [...new Set(checks.map(({ fields }) => fields.task))].slice(-12).sort();
  }, [client, zone]);

  const save = () => {
    if (!chosen) {
      saving.fail(k.noArea);
      return;
    }
    if (value.passed === null) {
      saving.fail(k.noWord);
      return;
    }
    const check = create(HygieneCheckSchema, {
      inArea: chosen.record,
      ...when(),
      task: value.task,
      passed: value.passed,
      note: value.note,
    });
    const fields = toBinary(HygieneCheckSchema, check);
    saving.log({ case: "log", value: { records: [{ kind: kind.hygieneCheck, fields }] } }, k.saved);
  };
  return (
    <Form
      title={k.title}
      caution={k.caution}
      saving={saving}
      leave={leave}
      draft={draft}
      actions={
        <button type="button" onClick={save}>
          {words.save}
        </button>
      }
    >
      {areas?.length === 0 && <p class="asks">{k.noAreas}</p>}
      <Picker
        label={k.area}
        options={(areas ?? []).map(({ key, name }) => ({ key, title: name, value: key }))}
        chosen={chosen?.key ?? ""}
        onValue={(key) => set({ area: key ?? "" })}
      />
      <Text label={k.task} value={value.task} onValue={(task) => set({ task })} />
      {tasks && tasks.length > 0 && (
        <Choice
          label={k.before}
          options={tasks.map((task) => ({ value: task, title: task }))}
          value={value.task}
          onValue={(task) => set({ task: task ?? "" })}
        />
      )}
      <h3>{k.inOrder}</h3>
      <Choice
        label={k.inOrder}
        options={[
          { value: true, title: k.yes },
          { value: false, title: k.no },
        ]}
        value={value.passed}
        onValue={(passed) => set({ passed })}
      />
      <Text long label={words.keeper.note} value={value.note} onValue={(note) => set({ note })} />
      {whenField}
    </Form>
  );
}
