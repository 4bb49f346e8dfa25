// The inputs that screens share: an amount in big numerals, one choice of several, a day.
import type { ComponentChildren } from "preact";
import { dayOf, dayText } from "../../core/time";

export function Amount(props: { label: string; value: string; onValue: (text: string) => void }) {
  return (
    <label class="amount">
      {props.label}
      <input
        inputMode="decimal"
        autoComplete="off"
        value={props.value}
        onInput={(event) => props.onValue(event.currentTarget.value)}
      />
    </label>
  );
}

export function Text(props: {
  label: string;
  value: string;
  long?: boolean;
  onValue: (text: string) => void;
}) {
  return (
    <label>
      {props.label}
      {props.long ? (
        <textarea value={props.value} onInput={(event) => props.onValue(event.currentTarget.value)} />
      ) : (
        <input value={props.value} onInput={(event) => props.onValue(event.currentTarget.value)} />
      )}
    </label>
  );
}

// Days since 1970-01-01; null while none is given.
export function Day(props: { label: string; value: number | null; onValue: (day: number | null) => void }) {
  return (
    <label>
      {props.label}
      <input
        type="date"
        value={props.value === null ? "" : dayText(props.value)}
        onInput={(event) => props.onValue(dayOf(event.currentTarget.value))}
      />
    </label>
  );
}

export interface Option<Value> {
  value: Value;
  title: ComponentChildren;
}

// Few choices, each a button to be hit with a glove; a tap on the chosen one takes it back where `none` is allowed.
export function Choice<Value>(props: {
  label: string;
  options: Option<Value>[];
  value: Value | null;
  none?: boolean;
  onValue: (value: Value | null) => void;
}) {
  return (
    <div class="row" role="group" aria-label={props.label}>
      {props.options.map((option, index) => {
        const chosen = option.value === props.value;
        return (
          <button
            type="button"
            key={index}
            class={chosen ? "chosen" : "quiet"}
            aria-pressed={chosen}
            onClick={() => props.onValue(chosen && props.none ? null : option.value)}
          >
            {option.title}
          </button>
        );
      })}
    </div>
  );
}

// Many choices. Values are told apart by their keys.
export function Picker<Value>(props: {
  label: string;
  options: { key: string; title: string; value: Value }[];
  chosen: string; // A key, or "".
  onValue: (value: Value | null, key: string) => void;
}) {
  return (
    <label>
      {props.label}
      <select
        value={props.chosen}
        onChange={(event) => {
          const key = event.currentTarget.value;
          props.onValue(props.options.find((option) => option.key === key)?.value ?? null, key);
        }}
      >
        <option value="">–</option>
        {props.options.map((option) => (
          <option key={option.key} value={option.key}>
            {option.title}
          </option>
        ))}
      </select>
    </label>
  );
}
