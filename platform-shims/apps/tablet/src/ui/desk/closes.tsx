// Days that were closed: by whom, whether what was closed still stands, and what was written or changed after it.
import { toHex } from "../../core/bytes";
import { labelOf } from "../../core/field_words";
import { kindWord } from "../../core/names";
import { dayText } from "../../core/time";
import { CloseStanding, type CloseView } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { openText } from "./open_words";
import { ValueWords } from "./record_words";

const daysBack = 14;

function standingText(close: CloseView): string {
  const { standing } = words.desk.close;
  switch (close.standing) {
    case CloseStanding.SAID:
      return standing.said;
    case CloseStanding.HOLDS:
      return standing.holds;
    case CloseStanding.NOT_HERE:
      return standing.notHere;
    case CloseStanding.DIFFERENT:
      return standing.different;
    default:
      return standing.other;
  }
}

export function Close({ close }: { close: CloseView }) {
  const { zone } = useShared();
  const text = words.desk.close;
  const isWrong = close.standing === CloseStanding.DIFFERENT;
  const digest = toHex(close.sha256);
  return (
    <section class="pool">
      <h3>
        {dayText(close.day)} · {close.area}
      </h3>
      <p>
        {text.closedBy(
          close.authorName || words.desk.hub,
          close.deviceName,
          zone.text(Number(close.enteredMs)),
        )}
        {close.note === "" ? "" : ` · ${close.note}`}
      </p>
      <p class={isWrong ? "alarm" : ""}>
        {standingText(close)} · {close.sealed ? text.sealed : text.notSealed}
        {digest === "" ? "" : ` · ${text.sum(close.records, close.changes, digest.slice(0, 16))}`}
      </p>
      {close.confirmation && (
        <p>
          {text.openThen}{" "}
          {close.confirmation.questions
            .map((question) => `${Number(question.value ?? 0n)} × ${openText(Number(question.detail ?? 0n))}`)
            .join(", ")}
          {close.confirmation.because === "" ? "" : ` · ${close.confirmation.because}`}
        </p>
      )}
      {close.amendedChanges === 0 ? (
        <p class="known">{text.noAmendments}</p>
      ) : (
        <details>
          <summary>{text.amendments(close.amendedChanges)}</summary>
          <ol class="history">
            {close.amendments.map((entry, index) => (
              <li key={index}>
                {kindWord(entry.kind)}, {labelOf(entry.kind, entry.field)}:{" "}
                {entry.replaced.map((old, i) => (
                  <span key={i}>
                    <ValueWords kind={entry.kind} field={entry.field} part={old} /> →{" "}
                  </span>
                ))}
                <ValueWords kind={entry.kind} field={entry.field} part={entry.value} />{" "}
                <small>
                  {[
                    entry.authorName || words.desk.hub,
                    entry.deviceName,
                    zone.text(Number(entry.enteredMs)),
                    entry.cameLater ? text.cameLater : "",
                    entry.reason,
                  ]
                    .filter(Boolean)
                    .join(" · ")}
                </small>
              </li>
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}

export function Closes({ area, lastDay }: { area: string; lastDay: number }) {
  const { client } = useShared();
  const { answer, failure } = useAnswer(
    () =>
      client.ask({ case: "closes", value: { area, firstDay: lastDay - daysBack + 1, lastDay } }, "closes"),
    [client, area, lastDay],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  return (
    <section>
      <h3>{words.desk.close.before(daysBack)}</h3>
      {answer?.closes.length === 0 && <p>{words.desk.close.none}</p>}
      {[...(answer?.closes ?? [])].reverse().map((close, index) => (
        <Close key={index} close={close} />
      ))}
    </section>
  );
}
