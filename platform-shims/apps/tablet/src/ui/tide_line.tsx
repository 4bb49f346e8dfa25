// The line at the foot: how many entries are only on this tablet, when it last exchanged, and whether the browser promises to keep
// them. Exchanges by itself: soon after an entry, as soon as the hub says that it has something new, at once when the network comes
// back, else after ever longer waits.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Client } from "../core/client";
import { failureText, type FilesSent } from "../core/messages";
import type { StatusReply } from "../proto/call_pb";
import { age, words } from "../words/words";
import { storageNow } from "./device/storage";

const firstWaitMs = 5_000;
const longestWaitMs = 5 * 60_000;
// From an entry to its exchange: what is entered together goes together.
const soonMs = 700;
// When "a minute ago" is to be told anew.
const tellMs = 30_000;
const clockOffMin = 10;

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

export function TideLine(props: {
  client: Client;
  status: StatusReply;
  refresh: () => void;
  open: () => void;
}) {
  const { client, status, refresh } = props;
  const [trouble, setTrouble] = useState("");
  const [running, setRunning] = useState(false);
  const [files, setFiles] = useState<FilesSent | null>(null);
  const sending = useRef(false);
  const [persistent, setPersistent] = useState(true);

  // After the records, and never in their way.
  const sendFiles = async () => {
    if (sending.current) return;
    sending.current = true;
    try {
      for (let more = true; more; ) {
        const sent = await client.sendFilePart();
        setFiles(sent);
        more = sent.more;
      }
    } catch {
      // The network or the hub, of which the next exchange will tell; it goes on from there.
      setFiles((before) => before && { ...before, more: false });
    }
    sending.current = false;
  };

  const exchange = async (): Promise<boolean> => {
    setRunning(true);
    try {
      const { refusals } = await client.exchange();
      setTrouble(refusals.join("; "));
      void sendFiles();
      return true;
    } catch (error) {
      setTrouble(failureText(error));
      return false;
    } finally {
      setRunning(false);
      refresh();
    }
  };

  useEffect(() => {
    void storageNow().then((storage) => setPersistent(storage.persistent));
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
    const telling = setInterval(refresh, tellMs);
    addEventListener("online", soon);
    addEventListener("wrackline-changed", refresh);
    return () => {
      clearTimeout(timer);
      clearInterval(telling);
      removeEventListener("online", soon);
      removeEventListener("wrackline-changed", refresh);
    };
  }, [client]);

  // News of the hub, while somebody can see them and the hub is in reach.
  useEffect(() => {
    let isGone = false;
    let rest = firstWaitMs;
    const listen = async () => {
      while (!isGone) {
        try {
          if (document.visibilityState === "hidden") await pause(firstWaitMs);
          else if ((await client.news()) && !(await exchange())) throw new Error();
          rest = firstWaitMs;
        } catch {
          // The exchange has told what is wrong; this only asks again later.
          await pause(rest * (0.75 + Math.random() / 2));
          rest = Math.min(longestWaitMs, rest * 2);
        }
      }
    };
    void listen();
    return () => {
      isGone = true;
    };
  }, [client]);

  useEffect(() => {
    if (status.unsent === 0 || trouble !== "" || !navigator.onLine) return;
    const timer = setTimeout(() => void exchange(), soonMs);
    return () => clearTimeout(timer);
  }, [client, status.unsent, trouble]);

  const review = status.reviewUrgent + status.reviewOther;
  const offsetMin = Math.abs(Math.round(Number(status.clockOffsetMs) / 60_000));
  const further = [
    files && files.left > 0 && (files.more ? words.files.onTheirWay : words.files.left)(files.left),
    files && files.left > 0 && files.why,
    review > 0 && words.toReview(review),
    offsetMin >= clockOffMin && words.device.clockLine(words.minutes(offsetMin)),
    !persistent && words.notPersistent,
  ].filter(Boolean);
  return (
    <footer class={status.unsent > 0 ? "tide unsent" : "tide"}>
      <button type="button" class="tide-words" onClick={props.open}>
        <strong role="status">{status.unsent > 0 ? words.unsent(status.unsent) : words.allSent}</strong>{" "}
        <span>
          {status.lastExchangeMs === 0n
            ? words.neverExchanged
            : words.exchanged(age(Date.now() - Number(status.lastExchangeMs)))}
        </span>
        {trouble !== "" && <span> · {trouble}</span>}
        {further.length > 0 && <span class="further"> · {further.join(" · ")}</span>}
      </button>
      <button type="button" class="quiet" disabled={running} onClick={() => void exchange()}>
        {running ? words.exchanging : words.exchangeNow}
      </button>
    </footer>
  );
}
