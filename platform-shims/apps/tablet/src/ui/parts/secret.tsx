// A line that is typed and not shown. `letters`: a one-time code may stand there, which is no number.
export function Secret(props: {
  label: string;
  value: string;
  onValue: (text: string) => void;
  letters?: boolean;
}) {
  return (
    <label>
      {props.label}
      <input
        type="password"
        inputMode={props.letters ? "text" : "numeric"}
        autoComplete="off"
        value={props.value}
        onInput={(event) => props.onValue(event.currentTarget.value)}
      />
    </label>
  );
}
