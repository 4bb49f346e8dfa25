// The filters say which part of the trail is asked for: of whom, by whom, where, when, which field, with
// which marks.
import type { MessageInitShape } from "@bufbuild/protobuf";
import { fieldLabel } from "../../core/field_words";
import { type Kind, kind, schemaOf } from "../../core/kinds";
import { kindWord, type Named } from "../../core/names";
import { recordKey } from "../../core/records";
import type { TrailSearchCallSchema } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { useNames } from "../desk/record_words";
import { Day, Picker } from "../parts/inputs";
import { useAnswer } from "../state";

const text = words.admin.trail;

export type Filters = Omit<MessageInitShape<typeof TrailSearchCallSchema>, "after" | "limit" | "$typeName">;

const marks = ["late", "clockSuspect", "afterClose", "struck", "folded", "held"] as const;
const kinds = (Object.values(kind) as Kind[])
  .map((value) => ({ key: String(value), title: kindWord(value), value }))
  .sort((a, b) => a.title.localeCompare(b.title, words.language));

function without(filters: Filters, name: "person" | "device" | "animal" | "firstDay" | "lastDay"): Filters {
  const rest = { ...filters };
  Reflect.deleteProperty(rest, name);
  return rest;
}

export function TrailFilters({ value, onValue }: { value: Filters; onValue: (filters: Filters) => void }) {
  const names = useNames();
  const { answer: choices } = useAnswer(async () => {
    const [people, devices, animals, pools] = await Promise.all(
      [kind.person, kind.device, kind.animal, kind.pool].map((one) => names.options(one)),
    );
    return { people: people ?? [], devices: devices ?? [], animals: [...(animals ?? []), ...(pools ?? [])] };
  }, [names]);

  const pick = (name: "person" | "device" | "animal", label: string, options: Named[] = []) => {
    const chosen = value[name] as Named["value"] | undefined;
    return (
      <Picker
        label={label}
        options={options}
        chosen={chosen ? recordKey(chosen) : ""}
        onValue={(record) => onValue(record ? { ...value, [name]: record } : without(value, name))}
      />
    );
  };
  const day = (name: "firstDay" | "lastDay", label: string) => (
    <Day
      label={label}
      value={value[name] ?? null}
      onValue={(given) => onValue(given === null ? without(value, name) : { ...value, [name]: given })}
    />
  );
  const fields = (value.kind ? schemaOf[value.kind as Kind].fields : []).map((field) => ({
    key: String(field.number),
    title: fieldLabel(field),
    value: field.number,
  }));
  return (
    <div class="filters">
      {pick("person", text.person, choices?.people)}
      {pick("device", text.device, choices?.devices)}
      {pick("animal", text.animal, choices?.animals)}
      {day("firstDay", text.from)}
      {day("lastDay", text.to)}
      <Picker
        label={text.kind}
        options={kinds}
        chosen={value.kind ? String(value.kind) : ""}
        onValue={(one) => onValue({ ...value, kind: one ?? 0, field: 0 })}
      />
      {fields.length > 0 && (
        <Picker
          label={text.field}
          options={fields}
          chosen={value.field ? String(value.field) : ""}
          onValue={(one) => onValue({ ...value, field: one ?? 0 })}
        />
      )}
      <fieldset class="choices">
        <legend>{text.onlyMarked}</legend>
        {marks.map((mark) => (
          <label class="check" key={mark}>
            <input
              type="checkbox"
              checked={value[mark] ?? false}
              onChange={(event) => onValue({ ...value, [mark]: event.currentTarget.checked })}
            />
            <span>{text.marks[mark]}</span>
          </label>
        ))}
      </fieldset>
    </div>
  );
}
