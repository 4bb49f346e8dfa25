// The inputs of a form for one value each, by how the field is typed.
import type { DescField } from "@bufbuild/protobuf";
import { useEffect, useState } from "preact/hooks";
import { numberInDraft, type Draft, isRecord, type Typed } from "../../core/draft";
import { choicesOf, formOf, referredKinds, unitIn } from "../../core/fields";
import { choiceWord } from "../../core/field_words";
import { kind, type KindName } from "../../core/kinds";
import { kindWord, type Named, type Names } from "../../core/names";
import { recordKey } from "../../core/records";
import { splitTyped, type Unit } from "../../core/units";
import { words } from "../../words/words";
import { Picker } from "../parts/inputs";

export interface OneProps {
  field: DescField;
  label: string;
  typed: Typed | undefined;
  draft: Draft; // All of the record or row: what the unit and the choices turn on.
  names: Names;
  onTyped: (typed: Typed | undefined) => void;
}

// A number with its unit: in the label where there is one only, else to be chosen.
export function NumberInput(props: {
  label: string;
  unit: Unit;
  usual?: string; // The unit that is chosen to begin with.
  text: string;
  onText: (text: string) => void;
}) {
  const { number, unit: typedUnit } = splitTyped(props.text.replace(/^\s*ph/i, ""));
  const names = props.unit.spellings.map((spelling) => spelling.text);
  const several = names.length > 1;
  const usual = several ? (props.usual ?? props.unit.usual ?? "") : "";
  const [chosen, setChosen] = useState(typedUnit === "" ? usual : typedUnit);
  useEffect(() => {
    if (typedUnit !== "") setChosen(typedUnit);
  }, [typedUnit]);
  const say = (text: string, unit: string) => {
    // Somebody may type the unit along with the number.
    const split = splitTyped(text);
    props.onText(split.number === "" ? "" : several ? `${split.number} ${split.unit || unit}` : text);
  };
  const only = several || names[0] === "" ? "" : ` (${names[0] ?? ""})`;
  return (
    <div class="with-unit">
      <label>
        {props.label + only}
        <input
          inputMode="decimal"
          autoComplete="off"
          value={
            several
              ? number
              : props.text
                  .replace(names[0] ?? "", "")
                  .replace(/^\s*ph/i, "")
                  .trim()
          }
          onInput={(event) => say(event.currentTarget.value, chosen)}
        />
      </label>
      {several && (
        <select
          aria-label={words.typing.unitOf(props.label)}
          value={chosen}
          onChange={(event) => {
            setChosen(event.currentTarget.value);
            say(number, event.currentTarget.value);
          }}
        >
          {usual === "" && <option value="">{words.typing.choose}</option>}
          {names.map((name) => (
            <option key={name} value={name}>
              {name}
            </option>
          ))}
        </select>
      )}
    </div>
  );
}

function Weekdays(props: { label: string; text: string; onText: (text: string) => void }) {
  const bits = Number(props.text === "" ? "0" : props.text);
  return (
    <fieldset>
      <legend>
        {props.label} {bits === 0 && <small>{words.typing.everyDay}</small>}
      </legend>
      <div class="row tight">
        {words.typing.weekdays.map((name, day) => {
          const isOn = ((bits >> day) & 1) === 1;
          return (
            <button
              type="button"
              key={name}
              class={isOn ? "chosen" : "quiet"}
              aria-pressed={isOn}
              onClick={() => {
                const now = bits ^ (1 << day);
                props.onText(now === 0 ? "" : String(now));
              }}
            >
              {name}
            </button>
          );
        })}
      </div>
    </fieldset>
  );
}

// References hold a log and a place in it; a picker wants what is called by a name.
function RecordInput({ field, label, typed, names, onTyped }: OneProps) {
  const [options, setOptions] = useState<Named[]>([]);
  const chosen = isRecord(typed) ? recordKey(typed) : "";
  useEffect(() => {
    let left = false;
    const kinds = referredKinds(field);
    void Promise.all(kinds.map((one) => names.options(one))).then(async (lists) => {
      const all = lists.flatMap((list, index) =>
        kinds.length < 2
          ? list
          : list.map((one) => ({ ...one, title: `${one.title} · ${kindWord(kinds[index] ?? 0)}` })),
      );
      // The record it points to may be struck, or not here.
      if (isRecord(typed) && !all.some((one) => one.key === chosen))
        all.unshift({ key: chosen, title: await names.of(typed), ownName: "", value: typed });
      if (!left) setOptions(all);
    });
    return () => {
      left = true;
    };
  }, [field, names, chosen]);
  return (
    <Picker
      label={label}
      options={options}
      chosen={chosen}
      onValue={(value) => onTyped(value ?? undefined)}
    />
  );
}

function ChoiceInput({ field, label, typed, draft, onTyped }: OneProps) {
  const numberOf = numberInDraft(draft);
  const choices = choicesOf(field, numberOf);
  const numbers =
    choices.of === "enum"
      ? choices.desc.values.map((value) => value.number).filter((number) => number !== 0)
      : choices.of === "kinds"
        ? (Object.keys(kind) as KindName[]).map((name) => kind[name])
        : choices.of === "fields"
          ? choices.fields.map((one) => one.number)
          : choices.of === "parts"
            ? [1, 2, 4]
            : [];
  if (choices.of === "nothing" && typed === undefined) return null;
  return (
    <Picker
      label={label}
      options={numbers.map((number) => ({
        key: String(number),
        title: choiceWord(field, number, numberOf),
        value: String(number),
      }))}
      chosen={typeof typed === "string" ? typed : ""}
      onValue={(value) => onTyped(value ?? undefined)}
    />
  );
}

const longTexts = ["note", "instructions", "caution", "text", "meaning", "findings", "marks", "criterion"];

function TextInput({ field, label, typed, onTyped }: OneProps) {
  const value = typeof typed === "string" ? typed : "";
  const say = (text: string) => onTyped(text === "" ? undefined : text);
  return (
    <label>
      {label}
      {longTexts.includes(field.name) ? (
        <textarea rows={2} value={value} onInput={(event) => say(event.currentTarget.value)} />
      ) : (
        <input autoComplete="off" value={value} onInput={(event) => say(event.currentTarget.value)} />
      )}
    </label>
  );
}

const inputType = { day: "date", clock: "time", instant: "datetime-local" } as const;

export function OneInput(props: OneProps) {
  const { field, label, typed, draft, onTyped } = props;
  const text = typeof typed === "string" ? typed : "";
  const onText = (value: string) => onTyped(value === "" ? undefined : value);
  const form = formOf(field);
  switch (form) {
    case "record":
      return <RecordInput {...props} />;
    case "choice":
      return <ChoiceInput {...props} />;
    case "weekdays":
      return <Weekdays label={label} text={text} onText={onText} />;
    case "flag":
      return (
        <Picker
          label={label}
          options={[
            { key: "yes", title: words.typing.yes, value: "yes" },
            { key: "no", title: words.typing.no, value: "no" },
          ]}
          chosen={text}
          onValue={(value) => onTyped(value ?? undefined)}
        />
      );
    case "number": {
      const unit = unitIn(field, numberInDraft(draft));
      if (!unit)
        return (
          <label>
            {label}
            <input disabled value="" placeholder={words.desk.form.unitFirst} />
          </label>
        );
      return (
        <NumberInput key={unit.spellings[0]?.text} label={label} unit={unit} text={text} onText={onText} />
      );
    }
    case "day":
    case "clock":
    case "instant":
      return (
        <label>
          {label}
          <input
            type={inputType[form]}
            value={text.replace(" ", "T")}
            onInput={(event) => onText(event.currentTarget.value.replace("T", " "))}
          />
        </label>
      );
    default:
      return <TextInput {...props} />;
  }
}
