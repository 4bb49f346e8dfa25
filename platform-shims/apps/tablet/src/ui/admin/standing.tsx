// Takes a record out of account, or back in, with a reason. Nothing is deleted: it stays in the trail.
import { useState } from "preact/hooks";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";

export interface StandingWords {
  title: string;
  help: string; // Says what a strike does and does not do.
  strike: string;
  struckNow: string;
  liftHelp: string;
  lift: string;
  lifted: string;
}

export function Standing(props: {
  record: RecordRef;
  struck: boolean;
  leave: () => void;
  words: StandingWords;
}) {
  const text = props.words;
  const [reason, setReason] = useState("");
  const saving = useSaving(props.leave);
  const save = () => {
    saving.edit(
      [
        {
          case: "strike",
          value: { record: props.record, reason, ...(props.struck ? { lift: true } : {}) },
        },
      ],
      props.struck ? text.lifted : text.struckNow,
    );
  };
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      <p>{props.struck ? text.liftHelp : text.help}</p>
      <Text label={words.admin.reason} value={reason} onValue={setReason} />
      {saving.failure}
      <div class="row foot">
        <button
          type="button"
          class={props.struck ? "" : "warn"}
          disabled={reason.trim() === ""}
          onClick={save}
        >
          {props.struck ? text.lift : text.strike}
        </button>
      </div>
      {saving.really}
    </section>
  );
}
