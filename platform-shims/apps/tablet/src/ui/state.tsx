// All screens share these: the client, the facility's time, and where one is.
import { failureText } from "../core/messages";
import { createContext } from "preact";
import { useCallback, useContext, useEffect, useState } from "preact/hooks";
import type { Client } from "../core/client";
import type { Zone } from "../core/time";
import type { StatusReply } from "../proto/call_pb";
import type { Place } from "./place";

// A line for a few seconds after something was saved; `undo` takes it back.
export interface Note {
  text: string;
  undo?: () => Promise<void>;
}

export interface Shared {
  client: Client;
  zone: Zone;
  status: StatusReply;
  go: (place: Place) => void;
  say: (note: Note) => void;
}

const SharedContext = createContext<Shared | null>(null);
export const Provide = SharedContext.Provider;

export function useShared(): Shared {
  const shared = useContext(SharedContext);
  if (!shared) throw new Error("a screen stands outside of the app");
  return shared;
}

// The answer to a question that is asked anew when the records change.
export function useAnswer<T>(ask: () => Promise<T>, about: unknown[]): { answer: T | null; failure: string } {
  const [answer, setAnswer] = useState<T | null>(null);
  const [failure, setFailure] = useState("");
  const asking = useCallback(ask, about);
  useEffect(() => {
    let left = false;
    const run = () => {
      asking().then(
        (value) => {
          if (left) return;
          setAnswer(() => value);
          setFailure("");
        },
        (error: unknown) => {
          if (!left) setFailure(failureText(error));
        },
      );
    };
    run();
    addEventListener("wrackline-changed", run);
    return () => {
      left = true;
      removeEventListener("wrackline-changed", run);
    };
  }, [asking]);
  return { answer, failure };
}
