// This tablet: what is only here and how to carry it away by file, what the browser says of its storage, and the app's looks.
import { failureText } from "../../core/messages";
import { useState } from "preact/hooks";
import { recordKey } from "../../core/records";
import { dayText } from "../../core/time";
import { age, languages, words } from "../../words/words";
import { Choice } from "../parts/inputs";
import { sizeText } from "../parts/size";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { FilesHere } from "./files_here";
import { WhoseApp } from "./whose_app";
import { saveFile } from "./save_file";
import { languageName, look, type Look, setLanguage, setLook } from "./settings";
import { storageNow } from "./storage";

const text = words.device;

export function Tablet() {
  const { client, status, zone, say } = useShared();
  const [failure, setFailure] = useState("");
  const [looks, setLooks] = useState<Look>(look());
  const { answer: storage } = useAnswer(storageNow, []);

  const carry = async () => {
    setFailure("");
    try {
      const made = await client.ask({ case: "bundleExport", value: {} }, "bundleExport");
      saveFile(
        `${status.deviceName.replaceAll(/\W+/g, "-")}-${dayText(zone.day(Date.now()))}.wrackline`,
        "application/octet-stream",
        made.bundle as Uint8Array<ArrayBuffer>,
      );
      say({ text: text.carried(made.changes) });
    } catch (error) {
      setFailure(failureText(error));
    }
  };

  const offsetMin = Math.round(Number(status.clockOffsetMs) / 60_000);
  return (
    <main>
      <h2>{text.title(status.deviceName)}</h2>
      <section class="pool">
        <h3>{text.onlyHere}</h3>
        <p>{status.unsent > 0 ? words.unsent(status.unsent) : words.allSent}</p>
        <p>
          {status.lastExchangeMs === 0n
            ? words.neverExchanged
            : words.exchanged(age(Date.now() - Number(status.lastExchangeMs)))}
          {status.lastExchangeMs !== 0n && Math.abs(offsetMin) >= 10 && (
            <strong class="asks"> {text.clockOff(words.minutes(Math.abs(offsetMin)), offsetMin < 0)}</strong>
          )}
        </p>
        <p>{text.carryHelp}</p>
        <button type="button" onClick={() => void carry()}>
          {text.carry}
        </button>
        {failure !== "" && (
          <p class="failure" role="alert">
            {failure}
          </p>
        )}
      </section>
      <section class="pool">
        <h3>{text.storage}</h3>
        {storage && (
          <>
            <p>{storage.persistent ? text.persistent : text.notPersistent}</p>
            <p>{text.room(sizeText(storage.usedBytes), sizeText(storage.leftBytes))}</p>
          </>
        )}
      </section>
      <FilesHere />
      <section class="pool">
        <h3>{text.looks}</h3>
        <Choice
          label={text.looks}
          value={looks}
          options={[
            { value: "" as Look, title: text.asDevice },
            { value: "day" as Look, title: text.day },
            { value: "night" as Look, title: text.night },
          ]}
          onValue={(value) => {
            setLook(value ?? "");
            setLooks(value ?? "");
          }}
        />
        <h3>{text.language}</h3>
        <Choice
          label={text.language}
          value={localStorage.getItem(languageName) ?? ""}
          options={[
            { value: "", title: text.asDevice },
            ...languages.map(([code, name]) => ({ value: code, title: name })),
          ]}
          onValue={(value) => setLanguage(value ?? "")}
        />
      </section>
      <Table
        caption={text.logs}
        head={[text.device, text.log, text.held, text.atHub, text.last]}
        figures={[2, 3]}
        rows={status.logs.map((log) => [
          log.deviceName || text.unknownDevice,
          recordKey({ $typeName: "wrackline.proto.RecordRef", log: log.log, seq: 0 }).split("-")[0],
          log.seq,
          log.arrived,
          log.lastStampMs === 0n ? "–" : new Date(Number(log.lastStampMs)).toLocaleString(words.language),
        ])}
      />
      <WhoseApp />
    </main>
  );
}
