// Words of the desk: roster, plans, review, day close, stock, import, reports.
import type { desk as english } from "../en/desk";

export const desk: typeof english = {
  menu: "Kontor",
  form: {
    unitFirst: "Si først hva som måles",
    nothingChanged: "Ingenting ble endret.",
    saySettles:
      "Folk er uenige om et felt du endret. Kryss av for at din verdi avgjør det, eller la det stå.",
    lookAgain: "Se på det som står i rødt. Ingenting ble lagret.",
    made: (kind) => `${kind}: den er på dette nettbrettet.`,
    changed: "Endringen er på dette nettbrettet.",
    reason: "Hvorfor (står i sporet)",
    settles: (fields) => `Jeg har sett den andre verdien. Min avgjør det: ${fields}`,
    disagreement:
      "Folk har skrevet ulike verdier her uten å vite om hverandre. Gjennomgangen viser dem side ved side.",
  },
  cautions: {
    order:
      "En ordinasjon er veterinærens. Skriv av preparat, styrke, dose, vei og klokkeslett ord for ord, og få det lest tilbake. Appen tar vare på ordinasjonen; den foreslår verken legemiddel eller dose.",
    plan: "En plan godkjennes av veterinæren eller kuratoren som har ansvar for kosten. En endring av linjer eller dager tar bort godkjenningen til den gis på nytt.",
    water:
      "Grenser er rader folk skriver, med kilde. Stedets egne grenser og lokale regler gjelder; all dosering av kjemikalier er for veterinæren og den som leder vannkvaliteten.",
    food: "Rått fôr: hold det kaldt, frys det aldri på nytt, avvis det som kommer tint eller er gått ut. Vask hender og redskap etter hver bruk; lokale regler kan kreve mer.",
    composition:
      "Sammensetning slik det fôres, fra en navngitt kilde. Det som ikke er kjent, står tomt; det gjettes aldri.",
    enricher:
      "Skriv hva som kan gå galt: hva som kan svelges, bites av eller fange en lem. Bitt og våte gulv først.",
  },
  rules: {
    1: "uenighet",
    2: "dobbeltføring",
    3: "holdt tilbake av huben",
    4: "dose i feil rekkefølge",
    5: "sammenslåing på avveie",
  },
  questions: {
    1: "en verdi utenfor en grense på stedet",
    2: "en usannsynlig verdi",
    3: "et tidspunkt som ennå ikke er kommet",
    4: "det hører til noe som er strøket",
    5: "dagen er lukket for området",
    11: "noe av dagen står åpent",
  },
};
