// The parts of the app, and under them the screens of the part one is in.
import { words } from "../words/words";
import type { Place } from "./place";
import { menu, partOf } from "./screens";

export function Menu({ place, go }: { place: Place; go: (place: Place) => void }) {
  const here = partOf(place);
  return (
    <nav class="menu" aria-label={words.menu}>
      <ul>
        {menu.map((part) => (
          <li key={part.title}>
            <button
              type="button"
              class={part === here ? "tab here" : "tab"}
              aria-current={part === here ? "true" : undefined}
              onClick={() => part.entries[0] && go(part.entries[0].place)}
            >
              {part.title}
            </button>
          </li>
        ))}
      </ul>
      {here.entries.length > 1 && (
        <ul class="inner">
          {here.entries.map((entry) => (
            <li key={entry.title}>
              <button
                type="button"
                class={entry.place.at === place.at ? "tab here" : "tab"}
                aria-current={entry.place.at === place.at ? "page" : undefined}
                onClick={() => go(entry.place)}
              >
                {entry.title}
              </button>
            </li>
          ))}
        </ul>
      )}
    </nav>
  );
}
