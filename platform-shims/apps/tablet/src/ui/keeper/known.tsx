// How old this tablet's knowledge of what others wrote is, in plain words.
import { age, words } from "../../words/words";

export function Known({ knownAsOfMs }: { knownAsOfMs: bigint }) {
  return (
    <p class="known">
      {knownAsOfMs === 0n ? words.knownNever : words.known(age(Date.now() - Number(knownAsOfMs)))}
    </p>
  );
}
