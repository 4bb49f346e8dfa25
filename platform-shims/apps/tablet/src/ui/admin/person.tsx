// One person: name and roles, the PIN, and taking them out of account when they leave.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { getOne, type Held } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { type Person as PersonFields, PersonSchema, type Role } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { Pin } from "./pin";
import { Roles } from "./roles";
import { Standing } from "./standing";

const text = words.admin.people;

function NameAndRoles({ held, leave }: { held: Held<PersonFields>; leave: () => void }) {
  const [name, setName] = useState(held.fields.name);
  const [roles, setRoles] = useState<Role[]>(held.fields.roles);
  const [reason, setReason] = useState("");
  const saving = useSaving(leave);
  const isNamed = name.trim() !== held.fields.name;
  const isOther = isNamed || roles.join() !== held.fields.roles.join();
  const save = () => {
    // Only what is new: what was not touched stays whoever's it was.
    const fields = create(PersonSchema, {
      ...(isNamed ? { name: name.trim() } : {}),
      ...(roles.join() === held.fields.roles.join() ? {} : { roles }),
    });
    saving.edit(
      [
        {
          case: "edit",
          value: {
            record: held.record,
            fields: toBinary(PersonSchema, fields),
            seen: held.view.heads,
            reason,
          },
        },
      ],
      text.changed(name.trim()),
    );
  };
  return (
    <section class="pool">
      <h3>{text.nameAndRoles}</h3>
      <Text label={text.name} value={name} onValue={setName} />
      <Roles value={roles} onValue={setRoles} />
      {isOther && <Text label={words.admin.reason} value={reason} onValue={setReason} />}
      {saving.failure}
      <div class="row foot">
        <button
          type="button"
          disabled={!isOther || name.trim() === "" || roles.length === 0 || reason.trim() === ""}
          onClick={save}
        >
          {words.save}
        </button>
      </div>
      {saving.really}
    </section>
  );
}

export function Person({ person, leave }: { person: RecordRef; leave: () => void }) {
  const { client, go } = useShared();
  const { answer: held, failure } = useAnswer(() => getOne(client, person, PersonSchema), [client, person]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!held) return <p>{words.admin.reading}</p>;
  return (
    <main>
      <h2>{held.fields.name}</h2>
      {held.view.struck ? (
        <p>{text.isStruck}</p>
      ) : (
        <>
          <NameAndRoles held={held} leave={leave} />
          <Pin person={held.record} name={held.fields.name} has={held.fields.pinSetMs > 0n} />
        </>
      )}
      <Standing record={held.record} struck={held.view.struck} leave={leave} words={text.standing} />
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" class="quiet" onClick={() => go({ at: "trail", record: held.record })}>
          {words.admin.seeTrail}
        </button>
      </div>
    </main>
  );
}
