// A look at an enricher: is it whole, clean and safe?
import { create, toBinary } from "@bufbuild/protobuf";
import { kind } from "../../core/kinds";
import { recordKey } from "../../core/records";
import { InspectionSchema } from "../../proto/events_pb";
import { words } from "../../words/words";
import { Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { Form } from "./form";
import { useDraft } from "./kept";
import type { About } from "./places";
import { useWhen } from "./when";

const k = words.keeper.inspect;

export function Inspect({ enricher, leave }: { enricher: About; leave: () => void }) {
  const draft = useDraft(`inspect.${recordKey(enricher.record)}`, {
    safe: null as boolean | null,
    findings: "",
  });
  const { when, field: whenField } = useWhen();
  const saving = useSaving(() => {
    draft.drop();
    leave();
  });
  const save = () => {
    const { safe, findings } = draft.value;
    if (safe === null) {
      saving.fail(k.noWord);
      return;
    }
    const look = create(InspectionSchema, { enricher: enricher.record, ...when(), safe, findings });
    const fields = toBinary(InspectionSchema, look);
    saving.log(
      { case: "log", value: { records: [{ kind: kind.inspection, fields }] } },
      k.saved(enricher.name),
    );
  };
  return (
    <Form
      title={k.title(enricher.name)}
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
      <Choice
        label={k.title(enricher.name)}
        options={[
          { value: true, title: k.safe },
          { value: false, title: k.unsafe },
        ]}
        value={draft.value.safe}
        onValue={(safe) => draft.set({ safe })}
      />
      {draft.value.safe === false && <p class="asks">{k.takeAway}</p>}
      <Text
        long
        label={k.findings}
        value={draft.value.findings}
        onValue={(findings) => draft.set({ findings })}
      />
      {whenField}
    </Form>
  );
}
