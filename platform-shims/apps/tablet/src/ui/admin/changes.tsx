// Changes as the trail tells of them, each with its values: what was, what is, and how it stands.
import { words } from "../../words/words";
import { useShared } from "../state";
import type { ChangeLines } from "./trail_words";

const text = words.admin.trail;

function Change({ change, withLinks }: { change: ChangeLines; withLinks: boolean }) {
  const { go } = useShared();
  return (
    <li class="change pool">
      <h3>
        {change.recordName} <small>{change.kind}</small>
      </h3>
      <p>
        {change.birth ? text.born : text.edited} {change.entered} · <strong>{change.author}</strong> ·{" "}
        {change.device} · {change.authorship}
        {change.happened !== "" && change.birth ? ` · ${text.happened(change.happened)}` : ""}
        {" · "}
        {change.heldByHub === "" ? text.notAtHub : text.atHub(change.heldByHub)}
      </p>
      {change.marks.length > 0 && (
        <p class="marks">
          {change.marks.map((mark) => (
            <span class="state late" key={mark}>
              {mark}
            </span>
          ))}
        </p>
      )}
      {change.reason !== "" && <p>{text.because(change.reason)}</p>}
      <dl class="values">
        {change.values.map((value, index) => (
          <div key={index}>
            <dt>{value.field}</dt>
            <dd>
              {value.from !== "" && (
                <>
                  <del>{value.from}</del> <span aria-hidden="true">→</span>{" "}
                </>
              )}
              <span class="value">{value.to}</span>{" "}
              {value.state !== text.states.stands && <em>{value.state}</em>}
            </dd>
          </div>
        ))}
      </dl>
      {withLinks && (
        <div class="row">
          <button type="button" class="quiet" onClick={() => go({ at: "trail", record: change.record })}>
            {text.allOfRecord}
          </button>
          <button
            type="button"
            class="quiet"
            onClick={() => go({ at: "evidence", records: [change.record] })}
          >
            {text.evidence}
          </button>
        </div>
      )}
    </li>
  );
}

export function Changes({ changes, withLinks }: { changes: ChangeLines[]; withLinks: boolean }) {
  return (
    <ol class="plain">
      {changes.map((change) => (
        <Change key={change.key} change={change} withLinks={withLinks} />
      ))}
    </ol>
  );
}
