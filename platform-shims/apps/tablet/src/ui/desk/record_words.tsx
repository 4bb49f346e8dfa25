// A record, or a part of one, to be read: each field it has with its value in words.
import { useEffect, useMemo, useState } from "preact/hooks";
import { recordWords, valueWords } from "../../core/field_words";
import { Names } from "../../core/names";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";

export function useNames(): Names {
  const { client } = useShared();
  const [moment, setMoment] = useState(0);
  useEffect(() => {
    const next = () => setMoment((last) => last + 1);
    addEventListener("wrackline-changed", next);
    return () => removeEventListener("wrackline-changed", next);
  }, []);
  return useMemo(() => new Names(client), [client, moment]);
}

export function RecordWords(props: { kind: number; fields: Uint8Array; withBuiltIn?: boolean }) {
  const { zone } = useShared();
  const names = useNames();
  const { answer } = useAnswer(
    () =>
      recordWords(
        props.kind,
        props.fields,
        { names, zone },
        { ...(props.withBuiltIn ? { withBuiltIn: true } : {}) },
      ),
    [props.kind, props.fields, names],
  );
  if (!answer) return <p>…</p>;
  if (answer.length === 0) return <p>{words.typing.absent}</p>;
  return (
    <dl class="fields">
      {answer.map(([label, text]) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{text}</dd>
        </div>
      ))}
    </dl>
  );
}

// The value of one field of a partial record.
export function ValueWords(props: { kind: number; field: number; part: Uint8Array; whole?: Uint8Array }) {
  const { zone } = useShared();
  const names = useNames();
  const { answer } = useAnswer(
    () => valueWords(props.kind, props.field, props.part, { names, zone }, props.whole),
    [props.kind, props.field, props.part, props.whole, names],
  );
  return <>{answer ?? "…"}</>;
}
