// People choose here which animal or pool a picture is of.
import { useState } from "preact/hooks";
import { type Held, recordKey, sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { Picker } from "../parts/inputs";

// The one that was come for, else the first.
export function useChosen<Message>(
  all: Held<Message>[] | null,
  wanted: RecordRef | undefined,
): [Held<Message> | undefined, (record: RecordRef) => void] {
  const [record, setRecord] = useState(wanted);
  return [all?.find((one) => sameRecord(one.record, record)) ?? all?.[0], setRecord];
}

export function Chooser<Message>(props: {
  label: string;
  options: Held<Message>[];
  nameOf: (held: Held<Message>) => string;
  chosen: Held<Message> | undefined;
  choose: (record: RecordRef) => void;
}) {
  return (
    <Picker
      label={props.label}
      options={props.options.map((held) => ({
        key: recordKey(held.record),
        title: props.nameOf(held),
        value: held.record,
      }))}
      chosen={props.chosen ? recordKey(props.chosen.record) : ""}
      onValue={(record) => record && props.choose(record)}
    />
  );
}
