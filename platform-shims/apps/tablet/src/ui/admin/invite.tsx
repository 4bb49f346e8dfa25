// Lets a new tablet in: a one-time code from the hub, in large type and as a picture to be read by the tablet's camera.
import { useEffect, useState } from "preact/hooks";
import { encode } from "uqr";
import { CallFailed, errorCode, failureText } from "../../core/messages";
import { words } from "../../words/words";
import { Secret } from "../parts/secret";
import { useShared } from "../state";

const text = words.admin.invite;

interface Invited {
  code: string;
  link: string;
  expiresMs: number;
}

function Picture({ link }: { link: string }) {
  const { data, size } = encode(link, { ecc: "M", border: 4 });
  const path = data
    .flatMap((row, y) => row.map((isDark, x) => (isDark ? `M${x} ${y}h1v1h-1z` : "")))
    .join("");
  return (
    <svg
      class="qr"
      viewBox={`0 0 ${size} ${size}`}
      role="img"
      aria-label={text.picture}
      shape-rendering="crispEdges"
    >
      <rect width={size} height={size} fill="#ffffff" />
      <path d={path} fill="#000000" />
    </svg>
  );
}

function Countdown({ untilMs }: { untilMs: number }) {
  const [nowMs, setNowMs] = useState(Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNowMs(Date.now()), 1000);
    return () => clearInterval(timer);
  }, []);
  const leftS = Math.max(0, Math.ceil((untilMs - nowMs) / 1000));
  const clock = `${Math.floor(leftS / 60)}:${String(leftS % 60).padStart(2, "0")}`;
  // Said once, not every second.
  return (
    <p class={leftS === 0 ? "failure" : "total"} role={leftS === 0 ? "alert" : "timer"}>
      {leftS === 0 ? text.over : text.left(clock)}
    </p>
  );
}

export function Invite({ leave }: { leave: () => void }) {
  const { client, status } = useShared();
  const [pin, setPin] = useState("");
  const [invited, setInvited] = useState<Invited | null>(null);
  const [failure, setFailure] = useState("");
  const [isAsking, setAsking] = useState(false);
  const invite = async () => {
    setAsking(true);
    setFailure("");
    try {
      const made = await client.invite(pin);
      // The time is put on this device's clock, since the countdown runs by it.
      setInvited({ ...made, expiresMs: made.expiresMs - Number(status.clockOffsetMs) });
    } catch (error) {
      const isUnreached = error instanceof CallFailed && error.code === errorCode.transport;
      setFailure(isUnreached ? text.noHub : failureText(error));
    } finally {
      setPin("");
      setAsking(false);
    }
  };
  return (
    <main>
      <h2>{text.title}</h2>
      {invited ? (
        <>
          <p>{text.steps}</p>
          <p class="code" aria-label={text.code}>
            {invited.code}
          </p>
          <Countdown untilMs={invited.expiresMs} />
          <Picture link={invited.link} />
          <p>{text.orOpen}</p>
          <p class="address">{invited.link}</p>
          <p class="caution">{text.caution}</p>
        </>
      ) : (
        <form
          onSubmit={(event) => {
            event.preventDefault();
            void invite();
          }}
        >
          <p>{text.help}</p>
          <Secret label={text.pin} value={pin} onValue={setPin} />
          <button type="submit" disabled={pin === "" || isAsking}>
            {text.make}
          </button>
        </form>
      )}
      {failure !== "" && (
        <p class="failure" role="alert">
          {failure}
        </p>
      )}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        {invited && (
          <button type="button" class="quiet" onClick={() => setInvited(null)}>
            {text.another}
          </button>
        )}
      </div>
    </main>
  );
}
