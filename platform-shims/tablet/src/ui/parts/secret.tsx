// A line that is typed and not shown.
export function Secret(props: { label: string; value: string; onValue: (text: string) => void }) {
  return (
    <label>
      {props.label}
      <input
        type="password"
        inputMode="numeric"
        autoComplete="off"
        value={props.value}
        onInput={(event) => props.onValue(event.currentTarget.value)}
      />
    </label>
  );
}
