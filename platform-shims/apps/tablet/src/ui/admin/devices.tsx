// The devices of the facility, the last heard of first; revoked ones stay in the list.
import { age, words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { deviceKey, devicesHere } from "./device_facts";

const text = words.admin.devices;

export function Devices() {
  const { client, zone, status, go } = useShared();
  const { answer: devices, failure } = useAnswer(() => devicesHere(client, status), [client, status]);
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!devices) return <p>{words.admin.reading}</p>;
  return (
    <main>
      <h2>{text.title}</h2>
      <p>{text.help}</p>
      <button type="button" onClick={() => go({ at: "invite" })}>
        {text.invite}
      </button>
      {devices.length === 0 && <p>{text.none}</p>}
      <section class="pool">
        <ul>
          {devices.map((one) => (
            <li key={deviceKey(one)}>
              <button
                type="button"
                class="item"
                onClick={() => go({ at: "admin-device", device: one.held.record })}
              >
                <span class="what">
                  <strong>{one.held.fields.name}</strong>{" "}
                  {one.isHub ? text.theHub : one.isHere ? text.thisOne : ""}
                  <small>
                    {one.lastMs === 0n
                      ? text.neverWrote
                      : text.lastWrote(zone.text(Number(one.lastMs)), age(Date.now() - Number(one.lastMs)))}
                  </small>
                </span>
                <span class={`state ${one.held.view.struck ? "missed" : "done"}`}>
                  {one.held.view.struck ? text.revoked : text.good}
                </span>
              </button>
            </li>
          ))}
        </ul>
      </section>
      <p class="known">{text.lastHelp}</p>
    </main>
  );
}
