// "Really?": what the core asks before it writes. A yes is to those very questions.
import { useState } from "preact/hooks";
import { type Question, QuestionRule } from "../../proto/built_in_pb";
import type { DoseRule } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { textOfRule } from "../keeper/dose_words";

const text: Partial<Record<QuestionRule, string>> = {
  [QuestionRule.SITE_LIMIT]: words.really.siteLimit,
  [QuestionRule.IMPROBABLE]: words.really.improbable,
  [QuestionRule.FUTURE]: words.really.future,
  [QuestionRule.STRUCK]: words.really.struck,
  [QuestionRule.CLOSED_DAY]: words.really.closedDay,
};

const textOf = (question: Question) =>
  question.rule === QuestionRule.DOSE
    ? textOfRule(Number(question.detail ?? 0n) as DoseRule)
    : (text[question.rule] ?? words.really.other);

export function Really(props: { questions: Question[]; yes: (because: string) => void; no: () => void }) {
  const [because, setBecause] = useState("");
  return (
    <div class="veil" role="alertdialog" aria-labelledby="really">
      <section class="card">
        <h2 id="really">{words.reallyTitle}</h2>
        <ul>
          {props.questions.map((question, index) => (
            <li key={index}>
              {textOf(question)}{" "}
              {[question.sourceName, question.setBy, question.note].filter(Boolean).join(" · ")}
            </li>
          ))}
        </ul>
        <label>
          {words.because}
          <input value={because} onInput={(event) => setBecause(event.currentTarget.value)} />
        </label>
        <div class="row">
          <button type="button" class="quiet" onClick={props.no}>
            {words.cancel}
          </button>
          <button type="button" onClick={() => props.yes(because)}>
            {words.goOn}
          </button>
        </div>
      </section>
    </div>
  );
}
