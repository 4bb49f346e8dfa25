// The facility's rules for signing in: after how long a tablet locks, and whether everybody needs a PIN.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { type Held, listAll } from "../../core/records";
import { type Facility, FacilitySchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Choice, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";

const text = words.admin.signIn;
const minutes = [2, 5, 10, 30, 60];
const minutesAtFirst = 10; // The core takes this while nobody has said; proto/roster.proto.

function Rules({ held }: { held: Held<Facility> }) {
  const { fields } = held;
  const [lock, setLock] = useState(fields.lockAfterMin ?? minutesAtFirst);
  const [required, setRequired] = useState(fields.pinRequired ?? false);
  const [proof, setProof] = useState(fields.proofRequired ?? false);
  const [reason, setReason] = useState("");
  const saving = useSaving(() => setReason(""));
  const isLock = lock !== (fields.lockAfterMin ?? minutesAtFirst);
  const isRequired = required !== (fields.pinRequired ?? false);
  const isProof = proof !== (fields.proofRequired ?? false);
  const save = () => {
    const changed = create(FacilitySchema, {
      ...(isLock ? { lockAfterMin: lock } : {}),
      ...(isRequired ? { pinRequired: required } : {}),
      ...(isProof ? { proofRequired: proof } : {}),
    });
    const value = {
      record: held.record,
      fields: toBinary(FacilitySchema, changed),
      seen: held.view.heads,
      reason,
    };
    saving.edit([{ case: "edit", value }], text.saved);
  };
  const offered = minutes.includes(lock) ? minutes : [...minutes, lock].sort((a, b) => a - b);
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      <p>{text.lockHelp}</p>
      <Choice
        label={text.lock}
        options={offered.map((value) => ({ value, title: words.minutes(value) }))}
        value={lock}
        onValue={(value) => value !== null && setLock(value)}
      />
      <label class="check">
        <input
          type="checkbox"
          checked={required}
          onChange={(event) => setRequired(event.currentTarget.checked)}
        />
        <span>{text.required}</span>
      </label>
      <label class="check">
        <input type="checkbox" checked={proof} onChange={(event) => setProof(event.currentTarget.checked)} />
        <span>{text.proof}</span>
      </label>
      {(isLock || isRequired || isProof) && (
        <>
          <Text label={words.admin.reason} value={reason} onValue={setReason} />
          <div class="row foot">
            <button type="button" disabled={reason.trim() === ""} onClick={save}>
              {words.save}
            </button>
          </div>
        </>
      )}
      {saving.failure}
      {saving.really}
    </section>
  );
}

export function SignInRules() {
  const { client } = useShared();
  const { answer } = useAnswer(() => listAll(client, kind.facility, FacilitySchema), [client]);
  const held = answer?.[0];
  // Anew when somebody else has changed them.
  return held ? <Rules key={held.view.edits} held={held} /> : null;
}
