// A chart over days, drawn by uPlot. A finger, a mouse or the arrow keys go from point to point; what stands there is said below
// it in words.
import { useEffect, useRef, useState } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { lookEvent } from "../device/settings";
import { words } from "../../words/words";
import { type Drawing, optionsOf, palette } from "./drawing";

const tall = 320;

export function Chart(props: {
  label: string;
  at: number[]; // Days, or parts of days, ascending.
  drawing: Drawing;
  say: (index: number) => string;
}) {
  const { at, drawing } = props;
  const box = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const [here, setHere] = useState<number | null>(null);

  useEffect(() => {
    const parent = box.current;
    if (!parent) return;
    const draw = (isPaper: boolean) => {
      plot.current?.destroy();
      const options = optionsOf(drawing, { width: parent.clientWidth, height: tall }, palette(isPaper));
      const hooks = {
        ...options.hooks,
        setCursor: [(chart: uPlot) => setHere(chart.cursor.idx ?? null)],
      };
      const data: uPlot.AlignedData = [at, ...drawing.series.map(({ values }) => values)];
      plot.current = new uPlot({ ...options, hooks }, data, parent);
    };
    const onScreen = () => draw(false);
    const onPaper = () => draw(true);
    onScreen();
    let width = parent.clientWidth;
    const resized = new ResizeObserver(() => {
      if (parent.clientWidth === width) return;
      width = parent.clientWidth;
      plot.current?.setSize({ width, height: tall });
    });
    resized.observe(parent);
    addEventListener(lookEvent, onScreen);
    addEventListener("beforeprint", onPaper);
    addEventListener("afterprint", onScreen);
    return () => {
      resized.disconnect();
      removeEventListener(lookEvent, onScreen);
      removeEventListener("beforeprint", onPaper);
      removeEventListener("afterprint", onScreen);
      plot.current?.destroy();
      plot.current = null;
    };
  }, [at, drawing]);

  const goTo = (index: number) => {
    const chart = plot.current;
    const x = at[index];
    if (chart && x !== undefined) chart.setCursor({ left: chart.valToPos(x, "x"), top: 0 });
  };
  const key = (event: KeyboardEvent) => {
    const steps: Record<string, number> = {
      ArrowLeft: (here ?? at.length) - 1,
      ArrowRight: (here ?? -1) + 1,
      Home: 0,
      End: at.length - 1,
    };
    const to = steps[event.key];
    if (to === undefined) return;
    event.preventDefault();
    goTo(Math.max(0, Math.min(at.length - 1, to)));
  };
  return (
    <>
      <div
        class="plot"
        ref={box}
        role="application"
        aria-label={`${props.label}. ${words.pictures.chartKeys}`}
        tabIndex={0}
        onKeyDown={key}
      />
      <p class="at-point" aria-live="polite">
        {here === null || here >= at.length ? words.pictures.chartHint : props.say(here)}
      </p>
    </>
  );
}
