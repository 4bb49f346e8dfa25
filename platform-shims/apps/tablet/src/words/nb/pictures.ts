// Words of the pictures and their tables.
import type { pictures as english } from "../en/pictures";

type Pictures = typeof english;

const mark = { alarm: "alarm", outlier: "avvik, langt fra dagene omkring" };

export const pictures: Pictures = {
  menu: "Bilder",
  drawing: "Regner …",
  unknown: "ikke kjent",
  notRecorded: "ikke registrert",
  open: "åpen",
  newer: (number) => `en egenskap fra en nyere utgave (${number})`,
  asTable: "Tallene som tabell",
  chartKeys: "Piltast venstre og høyre går fra punkt til punkt; tabellen under har alle tallene.",
  chartHint: "Ta på diagrammet, eller bruk piltastene, for å lese av et punkt.",
  span: "Hvilke dager",
  lastDays: (days) => (days === 365 ? "1 år" : `${days} dager`),
  daysTyped: "andre dager",
  from: "Fra",
  to: "Til",

  attention: {
    menu: "Nå",
    title: "Hva som krever oppmerksomhet nå",
    urgent: (count) => (count === 1 ? "Haster: 1 sak" : `Haster: ${count} saker`),
    others: (count) => (count === 1 ? "Å se på: 1 sak" : `Å se på: ${count} saker`),
    nothing: "Ingenting skiller seg ut i det som er registrert. Fortsett runden, og se på dyrene selv.",
    andMore: (count) => ` og ${count} til`,
    times: (count) => `${count} ganger`,
    see: "Se",
    notInDays: "ikke på 35 dager",
    otherRule: "en regel fra en nyere utgave",
    rules: {
      1: "har ikke spist på over 24 timer selv om fôr ble tilbudt",
      2: "ingen måltid er registrert på over 24 timer selv om det var planlagt",
      3: "en dose ble gitt for tidlig eller over ordinasjonens døgnmaksimum",
      4: "ingen vet om, eller hvor mye av, en dose som gikk inn",
      5: "en dose er ikke registrert, og tiden for den neste er kommet",
      6: "utenfor grensen ved siste avlesning",
      7: "skulle vært avlest",
      8: "mer kom tilbake av en porsjon enn det som ble tilbudt",
      9: "er strøket, men oppføringene er ikke",
      10: "et tint parti er over tiden og ikke kastet",
      11: "et parti er over siste forbruksdag og på lager",
      12: "en plan er ikke godkjent av noen",
      13: "skulle vært veid",
      14: "en oppføring ble skrevet eller endret etter at dagen var lukket",
      15: "en kontroll ble ikke bestått",
      16: "ble funnet utrygg; la den være",
    },
    caution:
      "Laget av det som er registrert: en tom liste sier ikke at alt er vel, og listen er ingen diagnose. Veterinæren avgjør; et dyr som ikke spiser på over 24 timer meldes til veterinæren straks, uansett hva som står her.",
  },

  collection: {
    menu: "Alle dyr",
    title: (day) => `Alle dyr ${day}`,
    day: "Dag",
    before: "Dagen før",
    after: "Dagen etter",
    nothing:
      "Ingen dyr er registrert her ennå. En journalansvarlig legger dem inn på kontoret; et nettbrett får dem ved en utveksling.",
    noArea: "Uten område",
    caption: "Planlagt, tilbudt og spist, etter dyr",
    head: ["Dyr", "Basseng", "Registrert", "Planlagt", "Tilbudt", "Spist", "Av planen", "Kroppsvekt"],
    whole: "alt veid",
    unweighed: (count) => (count === 1 ? "1 rest ikke veid" : `${count} rester ikke veid`),
  },

  animal: {
    menu: "Ett dyr",
    title: "Bilder av et dyr",
    animal: "Dyr",
    heads: (count) => `${count} individer`,
    none: "Ingen dyr er registrert her ennå. En journalansvarlig legger dem inn på kontoret; et nettbrett får dem ved en utveksling.",
    which: "Hvilket bilde",
    pictures: {
      intake: "Inntak",
      control: "Kontrollkort",
      body: "Kropp",
      training: "Trening",
      rotation: "Berikelse",
    },
  },

  intake: {
    title: (name) => `Hva ${name} spiste mot planen`,
    says: (recorded, days, complete, mean) =>
      `${recorded} av ${days} dager er registrert, på ${complete} av dem er alt veid; der er gjennomsnittet ${mean} om dagen. En dag som ingen registrerte er et hull, aldri null.`,
    nothing: "Ingen måltid er registrert disse dagene. Velg andre dager, eller før måltider ved bassenget.",
    planned: "planlagt",
    offered: "tilbudt",
    eaten: "spist, alle rester veid",
    eatenInPart: "spist av det som ble veid; en rest ble ikke veid",
    day: (day, eaten, planned, unweighed) =>
      `${day}: spist ${eaten}, planlagt ${planned}${unweighed > 0 ? `; ${unweighed} rest(er) ikke veid` : ""}`,
    dayWithout: (day) => `${day}: ikke registrert`,
    head: [
      "Dag",
      "Måltider",
      "Planlagt",
      "Tilbudt",
      "Rest",
      "Spist",
      "Ikke veid",
      "Av planen",
      "Energi",
      "Av kroppsvekt",
    ],
    caution:
      "Tallene er av det som ble registrert; uregistrert er ikke null. Energi og tørrstoff kommer fra fôrslagenes oppgitte kilder. De er ingen diagnose og ingen rasjon: veterinæren eller ernæringsfaglig ansvarlig avgjør.",
  },

  control: {
    title: (name) => `Hvordan ${name} spiser over tid`,
    says: (baseline, sd, marked) =>
      `Vurdert mot et gjennomsnitt på ${baseline} med et standardavvik på ${sd}, fra den første halvdelen av de fullstendige dagene. ${marked === 0 ? "Ingen dag er merket." : marked === 1 ? "Én dag er merket: en grunn til å se etter, ingen diagnose." : `${marked} dager er merket: en grunn til å se etter, ingen diagnose.`}`,
    noChart: (complete) =>
      `Det er ikke noe kontrollkort: det trenger 16 fullstendige dager som er ulike, og her er det ${complete}. Velg flere dager.`,
    high: "øvre grense for det glidende gjennomsnittet",
    low: "nedre grense for det glidende gjennomsnittet",
    mean: "glidende gjennomsnitt (EWMA)",
    judged: "dagen, slik den vurderes",
    ...mark,
    judgedByPlan: (usual) =>
      `Vurdert etter planen: hva som ble spist for hvert gram planlagt, som for en dag med den vanlige planen på ${usual}; en dag uten plan etter hva som ble spist.`,
    judgedByEaten: "Vurdert etter hva som ble spist: ingen dag har en plan.",
    gap: (day) => `${day}: ikke registrert, eller ikke alt veid`,
    point: (day, eaten, mean) => `${day}: spist ${eaten}, glidende gjennomsnitt ${mean}`,
    noMarks: "Ingen dag er merket.",
    marks: "Merkede dager",
    day: "Dag",
    eaten: "Spist",
    mark: "Merke",
    head: ["Dag", "Spist", "Vurdert som", "Glidende gjennomsnitt", "Nedre grense", "Øvre grense", "Merke"],
    trend: (z, perWeek) =>
      `Utvikling: ${perWeek} i uken (Theil-Sen); z ${z} etter Mann-Kendall, som er tydelig utover 1,96 til en av sidene.`,
    trendUnknown: "Utvikling: ikke nok dager til å si det.",
    within: (within, all) =>
      `Innenfor planens toleranse: ${within} av ${all} fullstendige dager der planen oppgir en.`,
    sumTitle: "Kumulative summer",
    sumSays:
      "Hvor langt det som ble spist har drevet over og under gjennomsnittet, lagt sammen (CUSUM). En sum som fortsetter å vokse er en liten endring som varer.",
    sumHigh: "drift over",
    sumLow: "drift under",
    sumPoint: (day, high, low) => `${day}: over ${high}, under ${low}`,
    weekdayTitle: "Etter ukedag",
    weekdaySays:
      "Gjennomsnittlig spist på hver ukedag, over de fullstendige dagene. En lav søyle kan være en fastedag i planen.",
    weekday: "Ukedag",
    daysCounted: "Dager talt",
    meanEaten: "Spist i snitt",
    medianEaten: "Median",
    windows: "Gjennomsnitt av de siste dagene",
    lastDays: "Dager",
    rationTitle: "Hva som virkelig spises",
    ration: (mass) => `${mass} om dagen`,
    rationSpread: (low, high, days) =>
      `Median av ${days} fullstendige dager, rundet til vektens trinn; på den midterste halvdelen av dem ${low} til ${high}.`,
    rationNone: "Ikke nok fullstendige dager til å si det. Velg flere dager.",
    calcium: (ratio) => `Kalsium til fosfor i alt som ble spist: ${ratio} : 1 etter masse.`,
    rationCaution:
      "Dette er opplysning til veterinæren eller ernæringsfaglig ansvarlig, og tas aldri i bruk av seg selv. En rasjon endres bare når noen med rollen skriver og godkjenner en plan.",
  },

  body: {
    title: (name) => `Kroppen til ${name}`,
    says: (count) =>
      count === 1 ? "Én veiing disse dagene." : `${count} veiinger disse dagene, forbundet med rette linjer.`,
    nothing: "Ingen vekt er registrert disse dagene. Velg flere dager, eller før en veiing ved bassenget.",
    mass: "kroppsvekt, mellom veiinger",
    weighing: "en veiing",
    disagrees: "to personer sier det ulikt",
    massNow: (mass, days) =>
      days === undefined
        ? `Vekt siste dag: ${mass}.`
        : `Vekt: ${mass}, veid ${days} dag(er) før den siste dagen.`,
    massBetween: (mass) => `Vekt siste dag, mellom to veiinger: ${mass}.`,
    perHead: (heads, mass) => `${heads} individer, ${mass} hver i snitt.`,
    change: (percent) => `Endring fra første til siste veiing: ${percent}.`,
    growth: (perDay, specific) => `Vekst: ${perDay} om dagen; spesifikk vekstrate ${specific} % om dagen.`,
    fulton: (value, day) => `Kondisjon etter masse og rett lengde ${day} (Fulton, 100 g/cm³): ${value}.`,
    head: ["Dag", "Hva", "Verdi", "Metode", ""],
    caution:
      "Tallene er av det som ble målt og er ingen diagnose: veterinæren vurderer et dyrs tilstand. Pass på bitt ved veiing, og løft to sammen.",
  },

  training: {
    title: (name) => `Trening av ${name}, etter signal`,
    says: "Andelen forsøk som lyktes. Streken gjennom enden av en søyle er der andelen godt kan ligge (95 %, Wilson); få forsøk gjør den lang.",
    nothing: "Ingen økt er registrert disse dagene. Velg flere dager, eller før en ved bassenget.",
    head: ["Signal", "Lyktes", "95 %-intervall", "Forsøk", "Økter", "Utvikling", "Sist"],
    trials: (successes, trials) => `${successes} av ${trials}`,
    trendHelp:
      "Utvikling: etter Mann-Kendall over øktene; den er tydelig når z er utover 1,96 til en av sidene.",
    food: (mass) => `Fôr tilbudt i trening disse dagene: ${mass}. Det er en del av inntaket.`,
    caution: "Fôr gitt i trening er en del av dagens rasjon. Pass på bitt og våte gulv; stopp når dyret går.",
  },

  rotation: {
    title: (name) => `Berikelse for ${name}`,
    says: (uses, kinds, variety) =>
      `${uses} ganger med ${kinds} slags berikelse disse dagene; variasjon ${variety} (Shannon: 0 er alltid den samme).`,
    nothing: "Ingen berikelse er registrert disse dagene. Velg flere dager, eller før en ved bassenget.",
    week7: (uses, planned) =>
      planned === undefined
        ? `Denne uken: ${uses}. Ingen plan sier hvor ofte.`
        : `Denne uken: ${uses}, planlagt ${planned}.`,
    calendar: "Berikelse etter uke og dag",
    week: "Uke fra",
    nothingThatDay: "ingenting registrert",
    responses: ["ingen respons", "så på", "tok på", "brukte den en stund", "brukte den lenge"],
    notWatched: "ingen så på",
    meanResponse: (mean, watched) => `${mean} av 4, observert ${watched} ganger`,
    ready: "klar",
    tooSoon: "for tidlig",
    inspectionDue: "kontroll på tide",
    unsafe: "utrygg, la den være",
    readyFrom: (day) => `klar fra ${day}`,
    never: "ikke disse dagene",
    nextTitle: "Hva som kan komme nå",
    nextSays: "De klare først, den som er brukt for lengst siden før andre. Den første er et forslag.",
    head: ["Berikelse", "Tilstand", "Sist brukt", "Ganger", "Respons", "Mål og advarsel"],
    caution:
      "Dette er et forslag; den som kjenner dyret velger. Se over gjenstanden før og etter bruk, og ta ut det som er ødelagt, løst eller kan svelges.",
  },

  water: {
    menu: "Vann",
    title: "Bilder av vannet",
    pool: "Basseng",
    noPools:
      "Ingen basseng er registrert her ennå. En journalansvarlig legger dem inn på kontoret; et nettbrett får dem ved en utveksling.",
    nothing:
      "Ingen avlesning er registrert disse dagene. Velg flere dager, eller før avlesninger ved bassenget.",
    overdueTitle: "Avlesninger på overtid",
    noneOverdue: "Ingen avlesning er på overtid etter de grensene som er registrert.",
    overdue: (what, hours, ago) =>
      `${what}: skal leses av hver ${hours}. time; ${ago === null ? "aldri avlest her" : `sist avlest for ${ago} siden`}.`,
    highest: "høyeste tillatte",
    lowest: "laveste tillatte",
    reading: "avlesninger, i rekkefølge",
    insideMark: "en avlesning",
    outsideMark: "utenfor grensen",
    disagrees: "to personer sier det ulikt",
    inside: "innenfor grensen",
    below: "under grensen",
    above: "over grensen",
    noLimit: "ingen grense kjent",
    unverified: "ennå ikke holdt mot kilden",
    says: (count, outside) =>
      `${count} avlesninger; ${outside === 0 ? "ingen utenfor grensen" : `${outside} utenfor grensen`}.`,
    saysNoLimit: (count) => `${count} avlesninger; ingen grense er registrert for denne egenskapen.`,
    head: ["Når", "Verdi", "Vurdert", "Grense og kilde"],
    derivedTitle: "Hva avlesningene sier sammen",
    derivedSays:
      "Regnet ut fra avlesninger fra samme øyeblikk, hver etter formelen som er nevnt under. Utenfor en formels område regnes ingenting ut.",
    derivedHead: ["Når", "Størrelse", "Verdi", "Vurdert", "Formel"],
    outsideRange: "utenfor formelens område: les med varsomhet",
    refused: (what, when, reason) => `Ingen ${what} for ${when}: ${reason}.`,
    caution:
      "Målesett og sonder har måleområder og driver: kalibrer dem, og gjenta en avlesning som overrasker. En pH er på NBS-skalaen om ikke metoden sier noe annet. Grenser er rader som folk har skrevet, med kilde. Hva som skal gjøres, og all dosering av kjemikalier, er for veterinæren og den som leder vannkvaliteten; lokale regler kan kreve mer.",
  },
  derived: {
    0: "ikke kjent",
    1: "salinitet",
    2: "tetthet",
    3: "oksygenmetning",
    4: "uionisert ammoniakk",
    5: "bundet klor",
    6: "middel av koliforme",
  },
};
