// Words of the desk: roster, plans, review, day close, stock, import, reports.
export const desk = {
  menu: "Desk",
  form: {
    unitFirst: "Say first what is measured",
    nothingChanged: "Nothing was changed.",
    saySettles:
      "People disagree about a field you changed. Tick that your value settles it, or leave it as it is.",
    lookAgain: "Look at what stands in red. Nothing was saved.",
    made: (kind: string) => `${kind}: it is on this tablet.`,
    changed: "The change is on this tablet.",
    reason: "Why (stands in the trail)",
    settles: (fields: string) => `I have seen the other value. Mine settles it: ${fields}`,
    disagreement:
      "People have written different values here without knowing of each other. The review shows them side by side.",
  },
  cautions: {
    order:
      "An order is the vet’s. Copy preparation, strength, dose, route and times from it word for word, and have them read back. This app keeps the order; it proposes neither a drug nor a dose.",
    plan: "A plan is approved by the vet or curator who answers for the diet. A change of the lines or days takes the approval away until it is given anew.",
    water:
      "Limits are rows people write, with their source. The site’s own limits and local codes hold; any dosing of chemicals is for the vet and whoever leads the water quality.",
    food: "Raw food: keep it cold, never refreeze it, refuse what comes thawed or past its use-by day. Wash hands and tools after each use; local rules may ask more.",
    composition:
      "Composition as fed, from a named source. What is not known stays empty; it is never guessed.",
    enricher:
      "Write what can go wrong with it: what can be swallowed, bitten off, or catch a limb. Bites and wet floors first.",
  },
  rules: {
    1: "disagreement",
    2: "double entry",
    3: "held by the hub",
    4: "dose out of order",
    5: "fold astray",
  } as Record<number, string>,
  questions: {
    1: "a value beyond a limit of this site",
    2: "an improbable value",
    3: "a time yet to come",
    4: "it belongs to something that is struck",
    5: "the day of its area is closed",
    11: "something of the day is open",
  } as Record<number, string>,
};
