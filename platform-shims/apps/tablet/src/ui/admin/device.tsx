// One device: what is known of it, its name, and revoking it, with what to do when a tablet is lost.
import { toHex } from "../../core/bytes";
import { create, toBinary } from "@bufbuild/protobuf";
import { useState } from "preact/hooks";
import { sameRecord } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { DeviceSchema } from "../../proto/roster_pb";
import { age, words } from "../../words/words";
import { Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { type DeviceFacts, devicesHere } from "./device_facts";
import { Standing } from "./standing";

const text = words.admin.devices;

function Facts({ facts }: { facts: DeviceFacts }) {
  const { zone } = useShared();
  const { fields, view } = facts.held;
  const changes = facts.logs.reduce((sum, { seq }) => sum + seq, 0);
  const lines: [string, string][] = [
    [text.standingIs, view.struck ? text.revoked : text.good],
    [
      text.enrolled,
      fields.enrolledMs === undefined ? words.admin.unknown : zone.text(Number(fields.enrolledMs)),
    ],
    [
      text.lastEntry,
      facts.lastMs === 0n
        ? text.neverWrote
        : text.lastWrote(zone.text(Number(facts.lastMs)), age(Date.now() - Number(facts.lastMs))),
    ],
    [text.changesHere, facts.logs.length === 0 ? words.admin.unknown : String(changes)],
    [text.key, toHex(fields.publicKey.slice(0, 8))],
  ];
  return (
    <section class="pool">
      <h3>{text.known}</h3>
      <dl class="facts">
        {lines.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <p class="known">{text.lastHelp}</p>
    </section>
  );
}

function Rename({ facts, leave }: { facts: DeviceFacts; leave: () => void }) {
  const { held } = facts;
  const [name, setName] = useState(held.fields.name);
  const [reason, setReason] = useState("");
  const saving = useSaving(leave);
  const save = () => {
    saving.edit(
      [
        {
          case: "edit",
          value: {
            record: held.record,
            fields: toBinary(DeviceSchema, create(DeviceSchema, { name: name.trim() })),
            seen: held.view.heads,
            reason,
          },
        },
      ],
      text.renamed(name.trim()),
    );
  };
  return (
    <section class="pool">
      <h3>{text.rename}</h3>
      <Text label={text.name} value={name} onValue={setName} />
      <Text label={words.admin.reason} value={reason} onValue={setReason} />
      {saving.failure}
      <div class="row foot">
        <button
          type="button"
          disabled={name.trim() === "" || name.trim() === held.fields.name || reason.trim() === ""}
          onClick={save}
        >
          {text.renameDo}
        </button>
      </div>
      {saving.really}
    </section>
  );
}

export function Device({ device, leave }: { device: RecordRef; leave: () => void }) {
  const { client, status, go } = useShared();
  const { answer: all, failure } = useAnswer(() => devicesHere(client, status), [client, status]);
  const facts = all?.find(({ held }) => sameRecord(held.record, device));
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!facts) return <p>{words.admin.reading}</p>;
  const { held } = facts;
  return (
    <main>
      <h2>{held.fields.name}</h2>
      {facts.isHere && <p>{text.thisOneLong}</p>}
      <Facts facts={facts} />
      {facts.isHub ? (
        <p>{text.theHubLong}</p>
      ) : (
        <>
          {!held.view.struck && <Rename facts={facts} leave={leave} />}
          <Standing record={held.record} struck={held.view.struck} leave={leave} words={text.standing} />
          <section class="pool">
            <h3>{text.lostTitle}</h3>
            <ol>
              {text.lostSteps.map((line) => (
                <li key={line}>{line}</li>
              ))}
            </ol>
          </section>
        </>
      )}
      <div class="row foot">
        <button type="button" class="quiet" onClick={leave}>
          {words.cancel}
        </button>
        <button type="button" class="quiet" onClick={() => go({ at: "trail", record: held.record })}>
          {words.admin.seeTrail}
        </button>
      </div>
    </main>
  );
}
