// The actions of a screen, at its foot and always in sight, above the line that says what is only on this tablet.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { words } from "../../words/words";

export function Foot(props: {
  leave: (() => void) | null;
  failure?: ComponentChildren;
  children: ComponentChildren;
}) {
  const foot = useRef<HTMLDivElement>(null);
  // The tide line is as high as its words need. Notes are shown above both.
  useEffect(() => {
    const tide = document.querySelector("footer.tide");
    const root = document.documentElement.style;
    const place = () => {
      const below = tide?.getBoundingClientRect().height ?? 0;
      root.setProperty("--below-foot", `${below}px`);
      root.setProperty("--note", `${below + (foot.current?.getBoundingClientRect().height ?? 0)}px`);
    };
    place();
    const watch = new ResizeObserver(place);
    for (const one of [tide, foot.current]) if (one) watch.observe(one);
    return () => {
      watch.disconnect();
      root.removeProperty("--note");
    };
  }, []);
  return (
    <div class="foot row" ref={foot}>
      {props.failure}
      {props.leave && (
        <button type="button" class="quiet back" onClick={props.leave}>
          {words.cancel}
        </button>
      )}
      {props.children}
    </div>
  );
}
