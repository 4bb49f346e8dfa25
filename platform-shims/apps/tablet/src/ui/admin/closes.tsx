// Closed days: by whom, whether what was closed is what is here, and what came after.
import { useState } from "preact/hooks";
import { dayText } from "../../core/time";
import { CloseStanding, type CloseView } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { useNames } from "../desk/record_words";
import { Day } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { Changes } from "./changes";
import { changesOf } from "./trail_words";

const text = words.admin.closes;
const daysBack = 14;

const standingWord: Record<CloseStanding, string> = {
  [CloseStanding.UNSPECIFIED]: words.admin.unknown,
  [CloseStanding.SAID]: text.said,
  [CloseStanding.HOLDS]: text.holds,
  [CloseStanding.NOT_HERE]: text.notHere,
  [CloseStanding.DIFFERENT]: text.different,
};

const standingClass: Record<CloseStanding, string> = {
  [CloseStanding.UNSPECIFIED]: "known",
  [CloseStanding.SAID]: "known",
  [CloseStanding.HOLDS]: "well",
  [CloseStanding.NOT_HERE]: "asks",
  [CloseStanding.DIFFERENT]: "failure",
};

function Amendments({ close }: { close: CloseView }) {
  const { zone } = useShared();
  const names = useNames();
  const { answer } = useAnswer(() => changesOf(close.amendments, names, zone), [close, names]);
  return answer ? <Changes changes={answer} withLinks /> : <p>{words.admin.reading}</p>;
}

function Close({ close }: { close: CloseView }) {
  const { zone } = useShared();
  const [open, setOpen] = useState(false);
  return (
    <li>
      <p>
        <strong>
          {dayText(close.day)} · {close.area}
        </strong>{" "}
        {text.by(close.authorName, close.deviceName, zone.text(Number(close.enteredMs)))}
        {close.note === "" ? "" : ` · ${close.note}`}
      </p>
      <p class={standingClass[close.standing]}>
        {standingWord[close.standing]}
        {close.standing === CloseStanding.SAID ? "" : ` · ${text.counted(close.records, close.changes)}`}
        {close.sealed ? "" : ` · ${text.notSealed}`}
      </p>
      {close.amendedChanges > 0 && (
        <details open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
          <summary>{text.amended(close.amendedChanges)}</summary>
          {open && <Amendments close={close} />}
        </details>
      )}
    </li>
  );
}

export function Closes() {
  const { client, zone } = useShared();
  const today = zone.day(Date.now());
  const [first, setFirst] = useState<number | null>(today - daysBack);
  const [last, setLast] = useState<number | null>(today);
  const { answer, failure } = useAnswer(
    () =>
      client.ask(
        {
          case: "closes",
          value: {
            ...(first === null ? {} : { firstDay: first }),
            ...(last === null ? {} : { lastDay: last }),
          },
        },
        "closes",
      ),
    [client, first, last],
  );
  return (
    <section class="pool">
      <h3>{text.title}</h3>
      <p>{text.help}</p>
      <div class="row pair">
        <Day label={words.admin.trail.from} value={first} onValue={setFirst} />
        <Day label={words.admin.trail.to} value={last} onValue={setLast} />
      </div>
      {failure !== "" && <p class="failure">{failure}</p>}
      {answer?.closes.length === 0 && <p>{text.none}</p>}
      <ul class="plain lined">
        {answer?.closes.map((close) => (
          <Close key={`${close.day}-${close.area}-${String(close.enteredMs)}`} close={close} />
        ))}
      </ul>
    </section>
  );
}
