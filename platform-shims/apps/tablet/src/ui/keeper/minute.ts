// A number that changes every minute: what is due now was not a minute ago.
import { useEffect, useState } from "preact/hooks";

const minuteMs = 60_000;

export function useMinute(): number {
  const [minute, setMinute] = useState(() => Math.floor(Date.now() / minuteMs));
  useEffect(() => {
    const timer = setInterval(() => setMinute(Math.floor(Date.now() / minuteMs)), minuteMs / 4);
    return () => clearInterval(timer);
  }, []);
  return minute;
}
