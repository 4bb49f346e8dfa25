// When it happened: now, unless somebody says so.
import { useState } from "preact/hooks";
import { dayOf, dayText, minuteOf, clock, type When } from "../../core/time";
import { words } from "../../words/words";
import { useShared } from "../state";

export function useWhen() {
  const { zone } = useShared();
  const [earlier, setEarlier] = useState<{ day: number; minute: number } | null>(null);
  const now = () => ({ day: zone.day(Date.now()), minute: zone.minute(Date.now()) });
  return {
    when: (): When => {
      if (!earlier) return zone.when(Date.now());
      const { day, minute } = earlier;
      // A minute that the clocks were put forward over is the one an hour later.
      return zone.when(zone.instant(day, minute) ?? zone.instant(day, minute + 60) ?? Date.now());
    },
    field: (
      <div class="when row">
        {earlier ? (
          <>
            <label>
              {words.keeper.whenDay}
              <input
                type="date"
                value={dayText(earlier.day)}
                onInput={(event) =>
                  setEarlier({ ...earlier, day: dayOf(event.currentTarget.value) ?? earlier.day })
                }
              />
            </label>
            <label>
              {words.keeper.whenClock}
              <input
                type="time"
                value={clock(earlier.minute)}
                onInput={(event) =>
                  setEarlier({ ...earlier, minute: minuteOf(event.currentTarget.value) ?? earlier.minute })
                }
              />
            </label>
            <button type="button" class="quiet" onClick={() => setEarlier(null)}>
              {words.keeper.whenNow}
            </button>
          </>
        ) : (
          <button type="button" class="quiet" onClick={() => setEarlier(now())}>
            {words.keeper.whenEarlier}
          </button>
        )}
      </div>
    ),
  };
}
