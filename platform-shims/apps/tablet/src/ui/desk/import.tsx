// Bringing records in: a bundle from another replica, or a table of one kind. Both are looked at before anything is written.
import { useState } from "preact/hooks";
import { words } from "../../words/words";
import { Choice } from "../parts/inputs";
import { ImportBundle } from "./import_bundle";
import { ImportTable } from "./import_table";

export function Import() {
  const [what, setWhat] = useState<"bundle" | "table">("bundle");
  return (
    <main class="desk">
      <h2>{words.desk.import.title}</h2>
      <Choice
        label={words.desk.import.what}
        options={[
          { value: "bundle" as const, title: words.desk.import.bundle },
          { value: "table" as const, title: words.desk.import.table },
        ]}
        value={what}
        onValue={(value) => {
          if (value) setWhat(value);
        }}
      />
      {what === "bundle" ? <ImportBundle /> : <ImportTable />}
    </main>
  );
}
