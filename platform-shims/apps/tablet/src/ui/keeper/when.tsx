// When it happened: now, unless somebody says so.
import { useState } from "preact/hooks";
import { clock, clockOf, dayOf, dayText, type When } from "../../core/time";
import { words } from "../../words/words";
import { useShared } from "../state";

export function useWhen() {
  const { zone } = useShared();
  const [earlier, setEarlier] = useState<{ day: number; minute: number } | null>(null);
  const now = () => ({ day: zone.day(Date.now()), minute: zone.minute(Date.now()) });
  // A minute that the clocks were put forward over is the one an hour later.
  const earlierMs =
    earlier && (zone.instant(earlier.day, earlier.minute) ?? zone.instant(earlier.day, earlier.minute + 60));
  return {
    earlierMs, // Null: now.
    when: (): When => zone.when(earlierMs ?? Date.now()),
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
                  setEarlier({ ...earlier, minute: clockOf(event.currentTarget.value) ?? earlier.minute })
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
