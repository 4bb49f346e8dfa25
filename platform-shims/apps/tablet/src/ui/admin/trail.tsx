// The trail: every value that a field ever had, who gave it, when, on which device and why; page after page, and as a file.
import { failureText } from "../../core/messages";
import { useEffect, useState } from "preact/hooks";
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import type { TrailCursor } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { saveFile } from "../device/save_file";
import { useNames } from "../desk/record_words";
import { useAnswer, useShared } from "../state";
import { Changes } from "./changes";
import { useStopping } from "./stopping";
import { csvLines } from "./trail_lines";
import { type Filters, TrailFilters } from "./trail_filters";
import { type ChangeLines, changesOf } from "./trail_words";

const text = words.admin.trail;
const pageEntries = 200;

interface Found {
  changes: ChangeLines[];
  next: TrailCursor | undefined;
  lookedAt: number;
}
const none: Found = { changes: [], next: undefined, lookedAt: 0 };

function useSearch(filters: Filters) {
  const { client, zone } = useShared();
  const names = useNames();
  const [found, setFound] = useState<Found | null>(null);
  const [failure, setFailure] = useState("");
  const [isRunning, setRunning] = useState(false);
  const stopping = useStopping();

  // On from where `from` ends, until a page is full, or to the end. A call looks at a bounded number of changes, so a page may be
  // empty while there is more.
  const run = async (from: Found, toTheEnd: boolean): Promise<Found> => {
    stopping.begin();
    setRunning(true);
    setFailure("");
    let now = from;
    let isFirst = from.changes.length === 0 && from.next === undefined;
    let fresh = 0;
    try {
      while ((isFirst || now.next) && !stopping.isStopped() && (toTheEnd || fresh < pageEntries)) {
        isFirst = false;
        const reply = await client.ask(
          {
            case: "trailSearch",
            value: { ...filters, limit: pageEntries, ...(now.next ? { after: now.next } : {}) },
          },
          "trailSearch",
        );
        fresh += reply.entries.length;
        now = {
          changes: [...now.changes, ...(await changesOf(reply.entries, names, zone))],
          next: reply.next,
          lookedAt: now.lookedAt + reply.lookedAt,
        };
        setFound(now);
      }
    } catch (error) {
      setFailure(failureText(error));
    }
    setRunning(false);
    return now;
  };
  return {
    found,
    failure,
    isRunning,
    begin: () => run(none, false),
    goOn: (toTheEnd: boolean) => run(found ?? none, toTheEnd),
    stop: stopping.stop,
    forget: () => setFound(null),
  };
}

export function Trail({ record }: { record?: RecordRef | undefined }) {
  const { client, zone } = useShared();
  const names = useNames();
  const [filters, setFilters] = useState<Filters>(record ? { record } : {});
  const search = useSearch(filters);
  const { answer: name } = useAnswer(() => names.of(record), [names, record]);
  const { found } = search;
  useEffect(() => {
    if (record) void search.begin();
  }, [record]);

  const download = async () => {
    const all = found?.next ? await search.goOn(true) : found;
    if (!all) return;
    const { csv } = await client.ask(
      { case: "csv", value: { of: { case: "lines", value: { lines: csvLines(all.changes) } } } },
      "csv",
    );
    // The mark at the beginning tells spreadsheets that it is UTF-8.
    saveFile(`${text.fileName}-${dayText(zone.day(Date.now()))}.csv`, "text/csv", `\ufeff${csv}`);
  };
  return (
    <main>
      <h2>{record ? text.titleOf(name ?? "") : text.title}</h2>
      <p>{text.help}</p>
      {!record && (
        <form
          onSubmit={(event) => {
            event.preventDefault();
            void search.begin();
          }}
        >
          <TrailFilters
            value={filters}
            onValue={(next) => {
              setFilters(next);
              search.forget();
            }}
          />
          <div class="row foot">
            <button
              type="button"
              class="quiet"
              onClick={() => {
                setFilters({});
                search.forget();
              }}
            >
              {text.clear}
            </button>
            <button type="submit" disabled={search.isRunning}>
              {text.search}
            </button>
          </div>
        </form>
      )}
      {search.failure !== "" && (
        <p class="failure" role="alert">
          {search.failure}
        </p>
      )}
      <div role="status">
        {search.isRunning && <p>{text.searching(found?.lookedAt ?? 0)}</p>}
        {found && !search.isRunning && (
          <p>
            {found.changes.length === 0
              ? text.nothing
              : text.found(found.changes.length, found.next !== undefined)}
          </p>
        )}
      </div>
      {search.isRunning && (
        <button type="button" class="quiet" onClick={search.stop}>
          {words.admin.stop}
        </button>
      )}
      {found && found.changes.length > 0 && !search.isRunning && (
        <button type="button" class="quiet" onClick={() => void download()}>
          {text.download}
        </button>
      )}
      {found && <Changes changes={found.changes} withLinks={!record} />}
      {found?.next && !search.isRunning && (
        <button type="button" onClick={() => void search.goOn(false)}>
          {text.more}
        </button>
      )}
    </main>
  );
}
