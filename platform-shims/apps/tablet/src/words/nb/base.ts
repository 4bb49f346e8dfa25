import type { base as english } from "../en/base";

type Base = typeof english;

export const base: Base = {
  language: "nb-NO",
  app: "Wrackline",
  menu: "Deler av appen",
  loading: "Åpner journalene på dette nettbrettet …",
  noRecords: "Journalene kunne ikke åpnes. De er som de var.",
  again: "Prøv igjen",
  cancel: "Tilbake",
  save: "Lagre",

  enrolTitle: "Slipp inn dette nettbrettet",
  enrolHelp:
    "En administrator lager en engangskode ved huben. Den gjelder noen minutter og for ett nettbrett.",
  enrolCode: "Kode, ti bokstaver",
  enrolName: "Hva dette nettbrettet heter",
  enrolDo: "Meld inn",
  enrolHubKey:
    "Før du melder inn: sammenlign hubens nøkkel med den på et nettbrett som allerede er inne (Dette nettbrettet), eller ved huben:",
  enrolHubKeyAwaited: "huben svarer ikke ennå",
  enrolOtherHub:
    "Huben som svarte, har en annen nøkkel enn den som ble vist. Ingenting ble laget her; si fra til administratoren, som bør trekke dette nettbrettet tilbake.",
  enrolNoHub: "Huben svarer ikke. Ingenting ble laget; koden gjelder fortsatt.",

  whoTitle: "Hvem står ved dette nettbrettet?",
  whoEmpty: "Ingen er registrert her ennå. Utveksle med huben først.",
  pinOf: (name) => `PIN for ${name}`,
  signOut: "Lås",
  pinMissing: "Ingen PIN ennå",

  atHub: {
    title: "Dette skriver huben",
    help: "Personer, enheter, grenser og regler endres hos huben, i ditt navn og med din PIN.",
    do: "La huben skrive",
    notDone: "Ingenting ble endret.",
  },

  today: "I dag",
  allAreas: "Alle områder",
  nothingDue: "Ingenting er planlagt her i dag. Planer lages av den som leder kosten eller behandlingen.",
  due: {
    upcoming: "senere",
    due: "nå",
    late: "for sen",
    missed: "uteblitt",
    done: "gjort",
    notKnown: "ikke kjent her",
  },
  kinds: {
    meal: "Måltid",
    dose: "Dose",
    enrichment: "Berikelse",
    measure: "Måling",
    water: "Vann",
    inspection: "Kontroll",
  },
  anyTime: "når som helst",
  known: (age) => `Hva andre har skrevet er kjent per ${age} siden.`,
  knownNever: "Dette nettbrettet har aldri utvekslet: hva andre har skrevet er ikke her.",

  mealOf: (name, slot) => `Måltid for ${name}, ${slot}`,
  planned: (mass) => `planlagt ${mass}`,
  noPlan: "Det er ikke planlagt fôr på dette tidspunktet.",
  weighed: "Veid, g",
  gross: "Med skål, g",
  tare: "Skål, g",
  withDish: "vei med skålen",
  withoutDish: "vei uten skålen",
  total: (mass) => `i alt ${mass}`,
  given: "Gitt",
  mealSaved: (name) => `Måltidet for ${name} er på dette nettbrettet.`,
  notANumber: "Dette er ingen mengde i gram.",
  dishLighter: "Skålen veier mer enn skål og fôr til sammen.",
  nothingWeighed: "Vei minst ett fôrslag.",
  foodCaution:
    "Rått fôr: hold det kaldt til det fôres, frys aldri på nytt, vask hender og redskap etter hver bruk; lokale regler kan kreve mer. Pass på bitt og våte gulv.",

  leftTitle: (name, slot) => `Hva som kom tilbake: ${name}, ${slot}`,
  left: "Rest, g",
  leftHelp: "0 er veid og ingenting kom tilbake. La feltet stå tomt når det ikke ble veid.",
  leftSaved: "Resten er på dette nettbrettet.",
  offered: (mass) => `tilbudt ${mass}`,
  leftAlready: (mass) => `rest ${mass}, registrert`,
  nothingOffered: "Ingen porsjon av dette måltidet er her.",

  doseOf: (name, slot) => `Dose til ${name}, ${slot}`,
  doseComesTo: (amount) => `Etter ordinasjonen er dette ${amount}.`,
  doseNotReckoned: "Mengden kan ikke regnes ut her; se ordinasjonen.",
  reckonedFrom: (mass, days) => `Regnet ut fra ${mass}, veid for ${days} dager siden.`,
  givenToday: (count) => `Registrert i dag: ${count}.`,
  doseCaution:
    "Kontroller dyr, preparat, mengde, vei og tid mot etiketten og veterinærens ordinasjon før du gir. Appen tar vare på ordinasjonen; den foreslår verken legemiddel eller dose. I tvil: hold tilbake og spør veterinæren.",
  findings: {
    sameSlot: "En oppføring for nettopp denne dosen er her allerede.",
    tooSoon: "For tidlig etter en annen.",
    dailyMax: "Mer enn ordinasjonen tillater på en dag.",
    early: "Tidligere enn den skal gis.",
    late: "Senere enn den skal gis.",
    massOld: "Kroppsvekten er eldre enn ordinasjonen tillater.",
    massMissing: "Ingen kroppsvekt er kjent.",
    outsideOrder: "Dagen eller tidspunktet hører ikke til ordinasjonen.",
    unknownAmount: "En tidligere kan ha vært gitt; ingen vet hvor mye.",
    notInAccount: "Ordinasjonen eller dyret er strøket.",
    witness: "Ordinasjonen krever et vitne.",
    unconfirmed:
      "Ordinasjonen ble tatt imot per telefon, og veterinæren har ikke bekreftet den. Les den tilbake, og gi den bare hvis du er sikker.",
    unconfirmedAgain:
      "Ordinasjonen ble tatt imot per telefon, er gitt så ofte den kan, og veterinæren har ikke bekreftet den. Spør veterinæren først.",
    amount:
      "Mye mer enn ordinasjonen gir. Les ordinasjonen en gang til; er du i tvil, vent og spør veterinæren.",
    other: "Et spørsmål fra en nyere utgave.",
  },
  outcome: { given: "Gitt", refused: "Nektet", held: "Holdt tilbake", lost: "Tapt", unknown: "Ikke kjent" },
  doseSaved: "Dosen er på dette nettbrettet.",
  goOn: "Det er som jeg sier: lagre det",

  seenTitle: (name) => `Sett hos ${name}`,
  seenText: "Hva som ble sett",
  seenSaved: "Det som ble sett er på dette nettbrettet.",

  reallyTitle: "Stopp og se",
  really: {
    siteLimit: "En verdi er utenfor en grense på dette stedet.",
    improbable: "En verdi er usannsynlig: se på enheten og kommaet.",
    future: "Tiden er ennå ikke kommet etter dette nettbrettets klokke.",
    struck: "Det hører til noe som er strøket.",
    closedDay: "Dagen er lukket for dette området: dette blir en rettelse i ettertid.",
    other: "Et spørsmål fra en nyere utgave.",
  },
  because: "Hvorfor (står i journalen)",

  undo: "Angre",
  undone: "Det er strøket, og står i sporet.",
  undoReason: "ført ved en feil",

  unsent: (count) => (count === 1 ? "1 oppføring bare her" : `${count} oppføringer bare her`),
  allSent: "huben har alt som er skrevet her",
  exchanged: (age) => `utvekslet for ${age} siden`,
  neverExchanged: "aldri utvekslet",
  exchangeNow: "Utveksle",
  exchanging: "utveksler …",
  noHub: "ingen hub innen rekkevidde; alt er tatt vare på her",
  notPersistent: "lagring ikke lovet",
  minutes: (n) => (n === 1 ? "1 minutt" : `${n} minutter`),
  hours: (n) => (n === 1 ? "1 time" : `${n} timer`),
  days: (n) => (n === 1 ? "1 dag" : `${n} dager`),
  moment: "et øyeblikk",
  toReview: (count) => `${count} å se på for en journalansvarlig`,
  lookAgain: "Se på det som står i rødt. Ingenting ble lagret.",
  failed: "Det ble ikke lagret.",
  nobodyHere: "Ingen er logget inn, så ingenting ble skrevet. Trykk på navnet ditt først.",
  otherAnswer:
    "Kjernen svarte noe annet enn det ble spurt om. Se om oppføringen er der før du skriver den igjen.",
  tabClosed: "En annen fane holdt journalene og er borte. Se om oppføringen er der før du skriver den igjen.",
};
