// This screen shows the entries of a day, by me or by all, to be looked at and put right.
import { useState } from "preact/hooks";
import type { Kind } from "../../core/kinds";
import { words } from "../../words/words";
import { Choice, Day, Picker } from "../parts/inputs";
import { useShared } from "../state";
import { EntryList } from "./entry_list";
import { entryKinds, kindTitle } from "./entry_words";

const k = words.keeper.entries;

export function Entries() {
  const { client, zone } = useShared();
  const [day, setDay] = useState(zone.day(Date.now()));
  const [mine, setMine] = useState(true);
  const [of, setOf] = useState<Kind | null>(null);
  return (
    <main class="keeper">
      <h2>{k.title}</h2>
      <p class="known">{k.help}</p>
      <div class="filters">
        <Choice
          label={k.whose}
          options={[
            { value: true, title: k.mine },
            { value: false, title: k.all },
          ]}
          value={mine}
          onValue={(chosen) => setMine(chosen ?? true)}
        />
        <Day label={k.day} value={day} onValue={(chosen) => setDay(chosen ?? day)} />
        <Picker
          label={k.kind}
          options={entryKinds.map((one) => ({ key: String(one), title: kindTitle(one), value: one }))}
          chosen={of === null ? "" : String(of)}
          onValue={setOf}
        />
      </div>
      <section class="pool">
        <EntryList day={day} animal={null} author={mine ? (client.person?.record ?? null) : null} of={of} />
      </section>
    </main>
  );
}
