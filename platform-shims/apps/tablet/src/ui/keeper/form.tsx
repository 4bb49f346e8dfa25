// The frame of every entry: what it is about, a caution where work can hurt, the way back, and the main action within
// reach of a thumb.
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { words } from "../../words/words";
import type { useSaving } from "../parts/saving";
import { useShared } from "../state";
import { Foot } from "./foot";
import type { Draft } from "./kept";

export function Form<T>(props: {
  title: string;
  caution?: string;
  saving: ReturnType<typeof useSaving>;
  leave: () => void;
  draft?: Draft<T>;
  actions: ComponentChildren;
  children: ComponentChildren;
}) {
  const { zone } = useShared();
  const from = props.draft?.fromMs ?? null;
  const typed = props.draft?.value;
  // An input that was wrong may be right now.
  const { fail } = props.saving;
  useEffect(() => fail(""), [typed, fail]);
  return (
    <main class="keeper entry">
      <h2>{props.title}</h2>
      {props.caution !== undefined && <p class="caution">{props.caution}</p>}
      {from !== null && (
        <p class="known row">
          {words.keeper.draftFrom(zone.clockAt(from))}
          <button type="button" class="quiet" onClick={() => props.draft?.drop()}>
            {words.keeper.afresh}
          </button>
        </p>
      )}
      {props.children}
      <Foot leave={props.leave} failure={props.saving.failure}>
        {props.actions}
      </Foot>
      {props.saving.really}
    </main>
  );
}
