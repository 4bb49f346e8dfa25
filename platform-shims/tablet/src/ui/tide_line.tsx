// The line at the foot: how many entries are only on this tablet, when it last exchanged, and whether the browser promises to keep
// them. Exchanges by itself: at once when the network comes back, else after ever longer waits.
import { useEffect, useState } from "preact/hooks";
import type { Client } from "../core/client";
import { CallFailed, errorCode } from "../core/messages";
import type { StatusReply } from "../proto/call_pb";
import { age, words } from "../words/words";

const firstWaitMs = 5_000;
const longestWaitMs = 5 * 60_000;

export function TideLine({
  client,
  status,
  refresh,
}: {
  client: Client;
  status: StatusReply;
  refresh: () => void;
}) {
  const [trouble, setTrouble] = useState("");
  const [running, setRunning] = useState(false);
  const [persistent, setPersistent] = useState(true);

  const exchange = async (): Promise<boolean> => {
    setRunning(true);
    try {
      const { refusals } = await client.exchange();
      setTrouble(refusals.join("; "));
      return true;
    } catch (error) {
      const isUnreached = error instanceof CallFailed && error.code === errorCode.transport;
      setTrouble(isUnreached ? words.noHub : error instanceof Error ? error.message : String(error));
      return false;
    } finally {
      setRunning(false);
      refresh();
    }
  };

  useEffect(() => {
    void navigator.storage.persist().then(setPersistent);
    let wait = firstWaitMs;
    let timer: ReturnType<typeof setTimeout>;
    const next = () => {
      timer = setTimeout(() => {
        void exchange().then((ok) => {
          // Spread, so that all tablets of a centre do not come back in the same second.
          wait = ok ? longestWaitMs / 5 : Math.min(longestWaitMs, wait * 2 * (0.75 + Math.random() / 2));
          next();
        });
      }, wait);
    };
    const soon = () => {
      clearTimeout(timer);
      wait = firstWaitMs / 5;
      next();
    };
    next();
    addEventListener("online", soon);
    addEventListener("wrackline-changed", refresh);
    return () => {
      clearTimeout(timer);
      removeEventListener("online", soon);
      removeEventListener("wrackline-changed", refresh);
    };
  }, [client]);

  const review = status.reviewUrgent + status.reviewOther;
  return (
    <footer class={status.unsent > 0 ? "tide unsent" : "tide"} aria-live="polite">
      <span>
        {status.unsent > 0 ? words.unsent(status.unsent) : words.allSent}
        {" · "}
        {status.lastExchangeMs === 0n
          ? words.neverExchanged
          : words.exchanged(age(Date.now() - Number(status.lastExchangeMs)))}
        {review > 0 ? ` · ${words.toReview(review)}` : ""}
        {persistent ? "" : ` · ${words.notPersistent}`}
        {trouble === "" ? "" : ` · ${trouble}`}
      </span>
      <button type="button" class="quiet" disabled={running} onClick={() => void exchange()}>
        {running ? words.exchanging : words.exchangeNow}
      </button>
    </footer>
  );
}
