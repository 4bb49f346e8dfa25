// Saving what a screen has: asks "really?" when the core does, says what was kept, offers to take it back.
import { create } from "@bufbuild/protobuf";
import { useRef, useState } from "preact/hooks";
import type { What } from "../../core/client";
import { CallFailed, errorCode, failureText } from "../../core/messages";
import { ConfirmationSchema, type Confirmation, type Question } from "../../proto/built_in_pb";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Really } from "./really";
import { useShared } from "../state";

interface Asked {
  questions: Question[];
  write: (confirmed: Confirmation) => Promise<void>;
}

const secondTapMs = 600;

export function useSaving(then: () => void) {
  const { client, say } = useShared();
  const [asked, setAsked] = useState<Asked | null>(null);
  const [failure, setFailure] = useState("");

  // A second tap of a wet glove is no second entry: none is taken while one is written, nor right after it.
  const closedUntil = useRef(0);

  const attempt = async (write: (confirmed?: Confirmation) => Promise<void>, confirmed?: Confirmation) => {
    if (Date.now() < closedUntil.current) return;
    closedUntil.current = Infinity;
    setFailure("");
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
        setFailure(failureText(error, words.failed));
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
    fail: setFailure,
    failure:
      failure === "" ? null : (
        <p class="failure" role="alert">
          {failure}
        </p>
      ),
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
