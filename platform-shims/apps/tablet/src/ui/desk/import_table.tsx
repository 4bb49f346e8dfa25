// A table of one kind: every row with what it would become, or why not. Nothing is written until all is well; then all is.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { recordWords } from "../../core/field_words";
import { fieldLabel } from "../../core/field_words";
import { type Kind, kind, schemaOf } from "../../core/kinds";
import { kindWord } from "../../core/names";
import { columnsOf } from "../../core/table_cells";
import { checkRows, readTable, type Row } from "../../core/table_import";
import { words } from "../../words/words";
import { Picker } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { Table } from "../parts/table";
import { useShared } from "../state";
import { groups } from "./groups";
import { useNames } from "./record_words";

const kinds: Kind[] = [
  ...groups.roster.filter((one) => one !== kind.person),
  ...groups.plans,
  ...groups.entries,
  kind.portion,
];
const logged = 100; // Rows a call: all of them or none.
const shown = 300;

interface Shown extends Row {
  tells: string;
}

export function ImportTable() {
  const { client, zone, say } = useShared();
  const names = useNames();
  const [chosen, setChosen] = useState<Kind>(kind.animal);
  const [again, setAgain] = useState(false);
  const [file, setFile] = useState<File | null>(null);
  const [rows, setRows] = useState<Shown[] | null>(null);
  const [problem, setProblem] = useState("");
  const [isBusy, setBusy] = useState(false);
  const text = words.desk.import;
  const saving = useSaving(() => setRows(null));

  const look = async (from: File, of: Kind, withAgain: boolean) => {
    setBusy(true);
    setRows(null);
    setProblem("");
    try {
      const read = await readTable(await from.text(), of, names, zone, withAgain, client);
      setProblem(read.problem);
      if (read.rows.every((row) => row.problems.length === 0)) await checkRows(read.rows, of, client);
      const found = read.rows.map(async (row): Promise<Shown> => {
        const told = await recordWords(of, row.fields, { names, zone });
        return { ...row, tells: told.map(([label, value]) => `${label}: ${value}`).join(" · ") };
      });
      if (read.problem === "") setRows(await Promise.all(found));
    } catch (error) {
      setProblem(failureText(error));
    } finally {
      setBusy(false);
    }
  };
  const again_ = (of: Kind, withAgain: boolean) => {
    setChosen(of);
    setAgain(withAgain);
    if (file) void look(file, of, withAgain);
  };

  const bad = rows?.filter((row) => row.problems.length > 0) ?? [];
  const save = () => {
    if (!rows || !file) return;
    const records = rows.map((row) => ({
      kind: chosen,
      fields: row.fields,
      reason: text.reason(file.name, row.line),
    }));
    let done = 0; // Goes on behind what is kept, when a question stops it.
    saving.run(async (confirmed) => {
      while (done < records.length) {
        const part = records.slice(done, done + logged);
        await client.write({ case: "log", value: { records: part } }, "log", confirmed);
        done += part.length;
      }
      say({ text: text.tableIn(done) });
    });
  };
  return (
    <section class="pool">
      <h3>{text.table}</h3>
      <p>{text.tableHelp}</p>
      <Picker
        label={words.desk.list.kind}
        options={kinds.map((one) => ({ key: String(one), title: kindWord(one, true), value: one }))}
        chosen={String(chosen)}
        onValue={(value) => again_(value ?? kind.animal, again)}
      />
      <details>
        <summary>{text.columns}</summary>
        <p class="known">{text.columnsHelp}</p>
        <Table
          caption={text.columnsOf(kindWord(chosen, true))}
          head={[text.column, text.takes]}
          rows={columnsOf(schemaOf[chosen]).map((column) => [
            <code key="title">{column.title}</code>,
            column.field
              ? column.isName
                ? text.nameOf(fieldLabel(column.field))
                : fieldLabel(column.field)
              : text.forPeople,
          ])}
        />
      </details>
      <label>
        {text.tableFile}
        <input
          type="file"
          onClick={(event) => (event.currentTarget.value = "")} // The same file, mended, is another choice.
          accept=".csv,text/csv,text/plain"
          onChange={(event) => {
            const next = event.currentTarget.files?.[0] ?? null;
            setFile(next);
            if (next) void look(next, chosen, again);
          }}
        />
      </label>
      <label class="tick">
        <input
          type="checkbox"
          checked={again}
          onChange={(event) => again_(chosen, event.currentTarget.checked)}
        />
        {text.again}
      </label>
      {isBusy && <p role="status">{text.looking}</p>}
      {problem !== "" && (
        <p class="failure" role="alert">
          {problem}
        </p>
      )}
      {rows && (
        <>
          <p class={bad.length > 0 ? "asks" : "total"} role="status">
            {bad.length > 0 ? text.bad(bad.length, rows.length) : text.good(rows.length)}
          </p>
          <Table
            caption={text.rows}
            head={[text.line, text.becomes]}
            rows={[...bad, ...rows.filter((row) => row.problems.length === 0)].slice(0, shown).map((row) => [
              row.line,
              row.problems.length > 0 ? (
                <span class="asks">
                  {text.notWell} {row.problems.join(" ")}
                </span>
              ) : (
                row.tells
              ),
            ])}
          />
          {rows.length > shown && <p>{text.moreRows(rows.length - shown)}</p>}
          {saving.failure}
          <div class="row foot">
            <button type="button" disabled={bad.length > 0} onClick={save}>
              {text.tableDo(rows.length)}
            </button>
          </div>
        </>
      )}
      {saving.really}
    </section>
  );
}
