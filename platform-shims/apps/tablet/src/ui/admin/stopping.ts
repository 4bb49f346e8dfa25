// Work that goes on page by page until a person stops it, or leaves the screen.
import { useEffect, useMemo } from "preact/hooks";

export interface Stopping {
  begin: () => void;
  stop: () => void;
  isStopped: () => boolean;
}

export function useStopping(): Stopping {
  const stopping = useMemo(() => {
    let stopped = false;
    return {
      begin: () => {
        stopped = false;
      },
      stop: () => {
        stopped = true;
      },
      isStopped: () => stopped,
    };
  }, []);
  useEffect(() => stopping.stop, [stopping]);
  return stopping;
}
