// One field of an entry, as it is typed.
import { words } from "../../words/words";
import { Amount, Choice, Text } from "../parts/inputs";
import type { Field } from "./entry_fields";

export function EntryField(props: { field: Field; value: string; onValue: (typed: string) => void }) {
  const { field, value, onValue } = props;
  if (typeof field.as === "object" && "choices" in field.as)
    return (
      <>
        <h4>{field.label}</h4>
        <Choice
          label={field.label}
          options={field.as.choices.map((one) => ({ value: String(one.value), title: one.title }))}
          value={value}
          onValue={(typed) => onValue(typed ?? "")}
        />
      </>
    );
  if (field.as === "text")
    return <Text long={field.label === words.seenText} label={field.label} value={value} onValue={onValue} />;
  return <Amount label={field.label} value={value} onValue={onValue} />;
}
