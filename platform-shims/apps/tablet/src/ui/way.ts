// The way one came: each place gone to is a step of the browser's history, so that its back button goes back here too.
import { useCallback, useEffect, useState } from "preact/hooks";
import type { Place } from "./place";

const first: Place = { at: "today" };

interface Step {
  depth: number;
}

export function useWay() {
  const [places, setPlaces] = useState<Place[]>([first]);
  const [depth, setDepth] = useState(0);
  useEffect(() => {
    history.replaceState({ depth: 0 } satisfies Step, "");
    const back = (event: PopStateEvent) => setDepth((event.state as Step | null)?.depth ?? 0);
    addEventListener("popstate", back);
    return () => removeEventListener("popstate", back);
  }, []);

  const go = useCallback(
    (place: Place) => {
      history.pushState({ depth: depth + 1 } satisfies Step, "");
      setPlaces([...places.slice(0, depth + 1), place]);
      setDepth(depth + 1);
      scrollTo(0, 0);
    },
    [places, depth],
  );
  const leave = useCallback(() => {
    if (depth > 0) history.back();
    else setPlaces([first]);
  }, [depth]);
  // Somebody else is here: their way is their own.
  const begin = useCallback(() => {
    history.replaceState({ depth: 0 } satisfies Step, "");
    setPlaces([first]);
    setDepth(0);
  }, []);
  return { place: places[depth] ?? first, depth, go, leave, begin };
}
