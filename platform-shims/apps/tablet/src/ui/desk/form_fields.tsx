// The fields of a record or a row, each with its input; fields that hold several values as lists.
import type { DescField, DescMessage } from "@bufbuild/protobuf";
import type { ComponentChildren } from "preact";
import { type Draft, isRecord, type Typed } from "../../core/draft";
import { choicesOf, fieldsOf, formOf } from "../../core/fields";
import { choiceWord, fieldLabel } from "../../core/field_words";
import type { Names } from "../../core/names";
import { words } from "../../words/words";
import { OneInput } from "./field_inputs";

interface FieldProps {
  field: DescField;
  draft: Draft;
  names: Names;
  onTyped: (typed: Typed | undefined) => void;
}

// Several of a few words, as a person's roles: each on or off.
function Several({ field, draft, onTyped }: FieldProps) {
  const choices = choicesOf(field, () => 0);
  const chosen = (draft[field.name] ?? []) as string[];
  const numbers = choices.of === "enum" ? choices.desc.values.map((value) => value.number) : [];
  return (
    <fieldset>
      <legend>{fieldLabel(field)}</legend>
      <div class="row tight">
        {numbers
          .filter((number) => number !== 0)
          .map((number) => {
            const key = String(number);
            const isOn = chosen.includes(key);
            return (
              <button
                type="button"
                key={key}
                class={isOn ? "chosen" : "quiet"}
                aria-pressed={isOn}
                onClick={() => onTyped(isOn ? chosen.filter((one) => one !== key) : [...chosen, key])}
              >
                {choiceWord(field, number, () => 0)}
              </button>
            );
          })}
      </div>
    </fieldset>
  );
}

function List({ field, draft, names, onTyped }: FieldProps) {
  const label = fieldLabel(field);
  const typed = draft[field.name];
  const items: (Typed | undefined)[] = Array.isArray(typed) ? typed : [];
  const isRows = formOf(field) === "rows";
  const change = (index: number, value: Typed | undefined) =>
    onTyped(items.map((item, i) => (i === index ? value : item) ?? ""));
  return (
    <fieldset class={isRows ? "rows" : ""}>
      <legend>{label}</legend>
      {items.map((item, index) => (
        <div class={isRows ? "a-row" : "an-item"} key={index}>
          {isRows && field.message ? (
            <Fields
              desc={field.message}
              draft={typeof item === "object" && !isRecord(item) && !Array.isArray(item) ? item : {}}
              names={names}
              onDraft={(row) => change(index, row)}
            />
          ) : (
            <OneInput
              field={field}
              label={words.typing.numbered(label, index + 1)}
              typed={item}
              draft={draft}
              names={names}
              onTyped={(value) => change(index, value)}
            />
          )}
          <button
            type="button"
            class="quiet"
            aria-label={words.typing.removeFrom(label, index + 1)}
            onClick={() => onTyped(items.filter((_, i) => i !== index).map((one) => one ?? ""))}
          >
            {words.typing.remove}
          </button>
        </div>
      ))}
      <button
        type="button"
        class="quiet"
        aria-label={words.typing.addTo(label)}
        onClick={() => onTyped([...items.map((one) => one ?? ""), isRows ? {} : ""])}
      >
        {words.typing.add}
      </button>
    </fieldset>
  );
}

function Field(props: FieldProps) {
  const { field, draft, names, onTyped } = props;
  if (field.fieldKind === "list") return field.enum ? <Several {...props} /> : <List {...props} />;
  return (
    <OneInput
      field={field}
      label={fieldLabel(field)}
      typed={draft[field.name]}
      draft={draft}
      names={names}
      onTyped={onTyped}
    />
  );
}

export function Fields(props: {
  desc: DescMessage;
  draft: Draft;
  names: Names;
  hidden?: string[];
  // The text above a field: what is wrong with it, or that people disagree about it.
  remark?: (field: DescField) => ComponentChildren;
  onDraft: (draft: Draft) => void;
}) {
  const wide = (field: DescField) => field.fieldKind === "list" || formOf(field) === "weekdays";
  return (
    <div class="fields-grid">
      {fieldsOf(props.desc)
        .filter((field) => !props.hidden?.includes(field.name))
        .map((field) => (
          <div key={field.name} class={wide(field) ? "field whole" : "field"}>
            {props.remark?.(field)}
            <Field
              field={field}
              draft={props.draft}
              names={props.names}
              onTyped={(typed) => props.onDraft({ ...props.draft, [field.name]: typed })}
            />
          </div>
        ))}
    </div>
  );
}
