// This screen shows which hub this tablet belongs to and which app it runs, to be compared with what `wrackline-server
// show-app` says at the hub.
import { inGroups, toHex } from "../../core/bytes";
import { manifestHash, version } from "../../core/release";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";

const text = words.device;

export function WhoseApp() {
  const { status } = useShared();
  const { answer: manifest } = useAnswer(manifestHash, []);
  return (
    <section class="pool">
      <h3>{text.whoseApp}</h3>
      <p>{text.whoseAppHelp}</p>
      <dl>
        <dt>{text.hubKey}</dt>
        <dd>
          <code class="digits">{inGroups(toHex(status.hubKey))}</code>
        </dd>
        <dt>{text.version(version)}</dt>
        <dd>
          {manifest === "" ? (
            text.noManifest
          ) : (
            <>
              {text.manifest} <code class="digits">{inGroups(manifest ?? "")}</code>
            </>
          )}
        </dd>
      </dl>
    </section>
  );
}
