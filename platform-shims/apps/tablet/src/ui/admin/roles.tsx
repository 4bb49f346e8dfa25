// A person's roles, each on or off, with what it allows.
import { enumWord } from "../../core/field_words";
import { Role } from "../../proto/roster_pb";
import { words } from "../../words/words";

const text = words.admin.people;
const roles = [Role.KEEPER, Role.VET, Role.CURATOR, Role.OFFICER, Role.ADMIN];

export function roleWords(role: Role): string {
  return enumWord("Role", Role[role], role);
}

export function Roles({ value, onValue }: { value: Role[]; onValue: (roles: Role[]) => void }) {
  return (
    <fieldset class="choices">
      <legend>{text.rolesTitle}</legend>
      {roles.map((role) => (
        <label class="check" key={role}>
          <input
            type="checkbox"
            checked={value.includes(role)}
            onChange={(event) =>
              onValue(
                event.currentTarget.checked ? [...value, role].sort() : value.filter((one) => one !== role),
              )
            }
          />
          <span>
            <strong>{roleWords(role)}</strong> {text.roleMeans[role]}
          </span>
        </label>
      ))}
    </fieldset>
  );
}
