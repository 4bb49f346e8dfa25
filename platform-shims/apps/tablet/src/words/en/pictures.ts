// Words of the pictures and their tables.
const mark = { alarm: "alarm", outlier: "outlier, far from the days around it" };

export const pictures = {
  menu: "Pictures",
  drawing: "Reckoning …",
  unknown: "not known",
  notRecorded: "not recorded",
  open: "open",
  newer: (number: number) => `a property of a newer release (${number})`,
  asTable: "The figures as a table",
  chartKeys: "Left and right arrow keys go from point to point; the table below has all figures.",
  chartHint: "Touch the chart, or use the arrow keys, to read a point.",
  span: "Which days",
  lastDays: (days: number) => (days === 365 ? "1 year" : `${days} days`),
  daysTyped: "other days",
  from: "From",
  to: "To",

  attention: {
    menu: "Now",
    title: "What needs attention now",
    urgent: (count: number) => (count === 1 ? "Urgent: 1 matter" : `Urgent: ${count} matters`),
    others: (count: number) =>
      count === 1 ? "To be looked at: 1 matter" : `To be looked at: ${count} matters`,
    nothing:
      "Nothing stands out in what was recorded. Go on with the round, and look at the animals themselves.",
    andMore: (count: number) => ` and ${count} more`,
    times: (count: number) => `${count} times`,
    see: "See",
    notInDays: "not in 35 days",
    otherRule: "a rule of a newer release",
    rules: {
      1: "ate nothing for over 24 hours although food was offered",
      2: "no meal is recorded for over 24 hours although one was planned",
      3: "a dose was too soon or above the order’s daily maximum",
      4: "nobody knows whether, or how much of, a dose went in",
      5: "a dose is not recorded, and the next one’s time has come",
      6: "outside its limit at the last reading",
      7: "is overdue to be read",
      8: "more came back of a portion than was offered",
      9: "is out of account, its entries are not",
      10: "a thawed batch is past its time and not discarded",
      11: "a lot is past its use-by day and in stock",
      12: "a plan is approved by nobody",
      13: "is overdue to be weighed",
      14: "an entry was written or changed after its day was closed",
      15: "a check did not pass",
      16: "was found unsafe; leave it out",
    },
    caution:
      "Made from what was recorded: an empty list does not say that all is well, and the list is no diagnosis. The vet decides; an animal that does not eat for over 24 hours is told to the vet at once, whatever stands here.",
  },

  collection: {
    menu: "All animals",
    title: (day: string) => `All animals on ${day}`,
    day: "Day",
    before: "Day before",
    after: "Day after",
    nothing:
      "No animal is recorded here yet. An officer adds them at the desk; a tablet gets them with an exchange.",
    noArea: "Without an area",
    caption: "Planned, offered and eaten, by animal",
    head: ["Animal", "Pool", "Recorded", "Planned", "Offered", "Eaten", "Of plan", "Body mass"],
    whole: "wholly weighed",
    unweighed: (count: number) => (count === 1 ? "1 leftover not weighed" : `${count} leftovers not weighed`),
  },

  animal: {
    menu: "An animal",
    title: "Pictures of an animal",
    animal: "Animal",
    heads: (count: number) => `${count} heads`,
    none: "No animal is recorded here yet. An officer adds them at the desk; a tablet gets them with an exchange.",
    which: "Which picture",
    pictures: {
      intake: "Intake",
      control: "Control chart",
      body: "Body",
      training: "Training",
      rotation: "Enrichment",
    },
  },

  intake: {
    title: (name: string) => `What ${name} ate against the plan`,
    says: (recorded: number, days: number, complete: number, mean: string) =>
      `${recorded} of ${days} days are recorded, ${complete} of them wholly weighed; on those the mean is ${mean} a day. A day that nobody recorded is a gap, never zero.`,
    nothing: "No meal is recorded in these days. Choose other days, or log meals at the pool.",
    planned: "planned",
    offered: "offered",
    eaten: "eaten, all leftovers weighed",
    eatenInPart: "eaten of what was weighed; a leftover was not",
    day: (day: string, eaten: string, planned: string, unweighed: number) =>
      `${day}: eaten ${eaten}, planned ${planned}${unweighed > 0 ? `; ${unweighed} leftover(s) not weighed` : ""}`,
    dayWithout: (day: string) => `${day}: not recorded`,
    head: [
      "Day",
      "Meals",
      "Planned",
      "Offered",
      "Left",
      "Eaten",
      "Not weighed",
      "Of plan",
      "Energy",
      "Of body mass",
    ],
    caution:
      "Figures are of what was recorded; unrecorded is not zero. Energy and dry matter come from the foods’ stated sources. They are no diagnosis and no ration: the vet or nutritionist decides.",
  },

  control: {
    title: (name: string) => `How ${name} eats over time`,
    says: (baseline: string, sd: string, marked: number) =>
      `Judged against a mean of ${baseline} with a standard deviation of ${sd}, those of the first half of the complete days. ${marked === 0 ? "No day is marked." : marked === 1 ? "One day is marked: a reason to look, no diagnosis." : `${marked} days are marked: a reason to look, no diagnosis.`}`,
    noChart: (complete: number) =>
      `There is no control chart: it needs 16 complete days that differ, and these have ${complete}. Choose more days.`,
    high: "upper limit of the moving mean",
    low: "lower limit of the moving mean",
    mean: "moving mean (EWMA)",
    judged: "the day, as it is judged",
    ...mark,
    judgedByPlan: (usual: string) =>
      `Judged by the plan: what was eaten for each gram planned, as of a day with the usual plan of ${usual}; a day without a plan by what was eaten.`,
    judgedByEaten: "Judged by what was eaten: no day has a plan.",
    gap: (day: string) => `${day}: not recorded, or not wholly weighed`,
    point: (day: string, eaten: string, mean: string) => `${day}: eaten ${eaten}, moving mean ${mean}`,
    noMarks: "No day is marked.",
    marks: "Marked days",
    day: "Day",
    eaten: "Eaten",
    mark: "Mark",
    head: ["Day", "Eaten", "Judged as", "Moving mean", "Lower limit", "Upper limit", "Mark"],
    trend: (z: string, perWeek: string) =>
      `Trend: ${perWeek} a week (Theil-Sen); z ${z} by Mann-Kendall, which is clear beyond 1.96 either way.`,
    trendUnknown: "Trend: not enough days to tell.",
    within: (within: number, all: number) =>
      `Within the plan’s tolerance: ${within} of ${all} complete days whose plan states one.`,
    sumTitle: "Cumulative sums",
    sumSays:
      "How far what was eaten has drifted above and below its mean, added up (CUSUM). A sum that keeps growing is a small change that lasts.",
    sumHigh: "drift above",
    sumLow: "drift below",
    sumPoint: (day: string, high: string, low: string) => `${day}: above ${high}, below ${low}`,
    weekdayTitle: "By weekday",
    weekdaySays:
      "Mean eaten on each weekday, over the complete days. A low bar may be a fasting day of the plan.",
    weekday: "Weekday",
    daysCounted: "Days counted",
    meanEaten: "Mean eaten",
    medianEaten: "Median",
    windows: "Mean of the last days",
    lastDays: "Days",
    rationTitle: "What is really eaten",
    ration: (mass: string) => `${mass} a day`,
    rationSpread: (low: string, high: string, days: number) =>
      `Median of ${days} complete days, rounded to the scale’s step; on the middle half of them ${low} to ${high}.`,
    rationNone: "Not enough complete days to tell. Choose more days.",
    calcium: (ratio: string) => `Calcium to phosphorus of all that was eaten: ${ratio} : 1 by mass.`,
    rationCaution:
      "This is information for the vet or nutritionist, never applied by itself. A ration changes only when somebody with the role writes and approves a plan.",
  },

  body: {
    title: (name: string) => `The body of ${name}`,
    says: (count: number) =>
      count === 1
        ? "One weighing in these days."
        : `${count} weighings in these days, joined by straight lines.`,
    nothing: "No mass is recorded in these days. Choose more days, or log a weighing at the pool.",
    mass: "body mass, between weighings",
    weighing: "a weighing",
    disagrees: "two people told it differently",
    massNow: (mass: string, days: number | undefined) =>
      days === undefined
        ? `Mass on the last day: ${mass}.`
        : `Mass: ${mass}, weighed ${days} day(s) before the last day.`,
    massBetween: (mass: string) => `Mass on the last day, between two weighings: ${mass}.`,
    perHead: (heads: number, mass: string) => `${heads} heads, ${mass} each on the mean.`,
    change: (percent: string) => `Change from the first to the last weighing: ${percent}.`,
    growth: (perDay: string, specific: string) =>
      `Growth: ${perDay} a day; specific growth rate ${specific} % a day.`,
    fulton: (value: string, day: string) =>
      `Condition by mass and straight length on ${day} (Fulton, 100 g/cm³): ${value}.`,
    head: ["Day", "What", "Value", "Method", ""],
    caution:
      "Figures are of what was measured and are no diagnosis: the vet judges an animal’s condition. Mind bites when weighing, and lift with two.",
  },

  training: {
    title: (name: string) => `Training of ${name}, by cue`,
    says: "The share of trials that succeeded. The line through the end of a bar is where the share may well lie (95 %, Wilson); few trials make it long.",
    nothing: "No session is recorded in these days. Choose more days, or log one at the pool.",
    head: ["Cue", "Success", "95 % interval", "Trials", "Sessions", "Trend", "Last"],
    trials: (successes: number, trials: number) => `${successes} of ${trials}`,
    trendHelp: "Trend: by Mann-Kendall over the sessions; it is clear when z is beyond 1.96 either way.",
    food: (mass: string) => `Food offered in training in these days: ${mass}. It is part of the intake.`,
    caution:
      "Food given in training is part of the day’s ration. Mind bites and wet floors; stop when the animal leaves.",
  },

  rotation: {
    title: (name: string) => `Enrichment of ${name}`,
    says: (uses: number, kinds: number, variety: string) =>
      `${uses} uses of ${kinds} enrichers in these days; variety ${variety} (Shannon: 0 is always the same one).`,
    nothing: "No enrichment is recorded in these days. Choose more days, or log one at the pool.",
    week7: (uses: number, planned: number | undefined) =>
      planned === undefined
        ? `This week: ${uses}. No plan says how often.`
        : `This week: ${uses}, planned ${planned}.`,
    calendar: "Enrichment by week and day",
    week: "Week of",
    nothingThatDay: "nothing recorded",
    responses: ["no response", "looked", "touched", "used it for a while", "used it for long"],
    notWatched: "nobody watched",
    meanResponse: (mean: string, watched: number) => `${mean} of 4, watched ${watched} times`,
    ready: "ready",
    tooSoon: "too soon",
    inspectionDue: "inspection due",
    unsafe: "unsafe, leave it out",
    readyFrom: (day: string) => `ready from ${day}`,
    never: "not in these days",
    nextTitle: "What might come next",
    nextSays: "Ready ones first, the least recently used before others. The first is a suggestion.",
    head: ["Enricher", "State", "Last used", "Uses", "Response", "Goal and caution"],
    caution:
      "This is a suggestion; who knows the animal chooses. Look the enricher over before and after each use, and take out what is broken, loose or could be swallowed.",
  },

  water: {
    menu: "Water",
    title: "Pictures of the water",
    pool: "Pool",
    noPools:
      "No pool is recorded here yet. An officer adds them at the desk; a tablet gets them with an exchange.",
    nothing: "No reading is recorded in these days. Choose more days, or log readings at the pool.",
    overdueTitle: "Overdue readings",
    noneOverdue: "No reading is overdue by the limits that are recorded.",
    overdue: (what: string, hours: number, ago: string | null) =>
      `${what}: to be read every ${hours} hours; ${ago === null ? "never read here" : `last read ${ago} ago`}.`,
    highest: "highest allowed",
    lowest: "lowest allowed",
    reading: "readings, in order",
    insideMark: "a reading",
    outsideMark: "outside its limit",
    disagrees: "two people told it differently",
    inside: "inside its limit",
    below: "below its limit",
    above: "above its limit",
    noLimit: "no limit known",
    unverified: "not yet held against its source",
    says: (count: number, outside: number) =>
      `${count} readings; ${outside === 0 ? "none outside its limit" : `${outside} outside their limit`}.`,
    saysNoLimit: (count: number) => `${count} readings; no limit is recorded for this property.`,
    head: ["When", "Value", "Judged", "Limit and its source"],
    derivedTitle: "What the readings tell together",
    derivedSays:
      "Reckoned from readings of one moment, each by the formula named below. Outside a formula’s range nothing is reckoned.",
    derivedHead: ["When", "Figure", "Value", "Judged", "Formula"],
    outsideRange: "outside the formula’s range: read with care",
    refused: (what: string, when: string, reason: string) => `No ${what} for ${when}: ${reason}.`,
    caution:
      "Test kits and probes have ranges and drift: calibrate them, and repeat a reading that surprises. A pH is on the NBS scale unless its method says otherwise. Limits are rows people wrote, with their source. What to do, and any dosing of chemicals, is for the vet and whoever leads the water quality; local codes may ask more.",
  },
  derived: {
    0: "not known",
    1: "salinity",
    2: "density",
    3: "oxygen saturation",
    4: "un-ionised ammonia",
    5: "combined chlorine",
    6: "coliform mean",
  },
};
