// A new member of staff: a name and what they may do.
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { PersonSchema, type Role } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { Roles } from "./roles";

const text = words.admin.people;

export function NewPerson({ leave }: { leave: () => void }) {
  const [name, setName] = useState("");
  const [roles, setRoles] = useState<Role[]>([]);
  const saving = useSaving(leave);
  const save = () => {
    const fields = toBinary(PersonSchema, create(PersonSchema, { name: name.trim(), roles }));
    saving.log({ case: "log", value: { records: [{ kind: kind.person, fields }] } }, text.added(name.trim()));
  };
  return (
    <main>
      <h2>{text.newTitle}</h2>
      <p>{text.newHelp}</p>
      <Text label={text.name} value={name} onValue={setName} />
      <Roles value={roles} onValue={setRoles} />
      {saving.failure}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" disabled={name.trim() === "" || roles.length === 0} onClick={save}>
          {text.add}
        </button>
      </div>
      {saving.really}
    </main>
  );
}
