// Saving what a screen has: asks "really?" when the core does, says what was kept, offers to take it back.
import { create } from "@bufbuild/protobuf";
import { useCallback, useRef, useState } from "preact/hooks";
import type { What } from "../../core/client";
import { CallFailed, errorCode, failureText } from "../../core/messages";
import { problemsOf, problemText } from "../../core/problems";
import { ConfirmationSchema, type Confirmation, type Question } from "../../proto/built_in_pb";
import type { Problem } from "../../proto/call_pb";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Really } from "./really";
import { useShared } from "../state";

interface Asked {
  questions: Question[];
  write: (confirmed: Confirmation) => Promise<void>;
}

// Why the last attempt failed: rules that are broken, or else a text.
interface Failure {
  text: string;
  problems: Problem[];
}
const noFailure: Failure = { text: "", problems: [] };

function Why({ text, problems, isAtField }: Failure & { isAtField: (problem: Problem) => boolean }) {
  if (problems.length === 0)
    return (
      <p class="failure" role="alert">
        {text}
      </p>
    );
  const others = new Set(problems.filter((problem) => !isAtField(problem)).map(problemText));
  return (
    <div class="failure" role="alert">
      <p>{problems.some(isAtField) ? words.lookAgain : words.failed}</p>
      {others.size > 0 && (
        <ul>
          {[...others].map((other) => (
            <li key={other}>{other}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

const secondTapMs = 600;

// `isAtField`: the form itself shows this one of the `problems`, beside its field.
export function useSaving(then: () => void, isAtField: (problem: Problem) => boolean = () => false) {
  const { client, say } = useShared();
  const [asked, setAsked] = useState<Asked | null>(null);
  const [failure, setFailure] = useState(noFailure);
  const fail = useCallback(
    (text: string) => setFailure(text === "" ? noFailure : { text, problems: [] }),
    [],
  );

  // A second tap of a wet glove is no second entry: none is taken while one is written, nor right after it.
  const closedUntil = useRef(0);

  const attempt = async (write: (confirmed?: Confirmation) => Promise<void>, confirmed?: Confirmation) => {
    if (Date.now() < closedUntil.current) return;
    closedUntil.current = Infinity;
    setFailure(noFailure);
    try {
      await write(confirmed);
      closedUntil.current = Date.now() + secondTapMs;
      setAsked(null);
      then();
    } catch (error) {
      closedUntil.current = 0;
      const questions =
        error instanceof CallFailed && error.code === errorCode.unconfirmed
          ? error.reply?.failure?.questions
          : undefined;
      if (questions) {
        setAsked({ questions, write: (yes) => attempt(write, yes) });
      } else {
        setAsked(null);
        setFailure({ text: failureText(error, words.failed), problems: problemsOf(error) });
      }
    }
  };

  const undo = (records: RecordRef[]) => async () => {
    // The last first, so that no portion is left without its meal.
    for (const record of [...records].reverse())
      await client.write({ case: "strike", value: { record, reason: words.undoReason } }, "edit");
    say({ text: words.undone });
  };

  return {
    // New records, all or none.
    log: (what: Extract<What, { case: "log" }>, saved: string) =>
      void attempt(async (confirmed) => {
        const { records } = await client.write(what, "log", confirmed);
        say({ text: saved, undo: undo(records) });
      }),
    // Edits and other words on records that stand, one after the other.
    edit: (edits: Extract<What, { case: "edit" | "strike" | "fold" | "accept" }>[], saved: string) =>
      void attempt(async (confirmed) => {
        for (const edit of edits) await client.write(edit, "edit", confirmed);
        say({ text: saved });
      }),
    // Any other call that writes; it says itself what was kept.
    run: (write: (confirmed?: Confirmation) => Promise<void>) => void attempt(write),
    fail,
    problems: failure.problems,
    failure: failure.text === "" ? null : <Why {...failure} isAtField={isAtField} />,
    really: asked && (
      <Really
        questions={asked.questions}
        no={() => setAsked(null)}
        yes={(because) =>
          void asked.write(create(ConfirmationSchema, { questions: asked.questions, because }))
        }
      />
    ),
  };
}
