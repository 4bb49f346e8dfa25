// Words of the screen of the tablet itself, and of the app's start and updates.
import type { device as english } from "../en/device";

export const device: typeof english = {
  menu: "Dette nettbrettet",
  title: (name) => `Dette nettbrettet: ${name}`,
  onlyHere: "Bare på dette nettbrettet",
  carryHelp:
    "Helt uten nett: ta med alt i en fil; ved kontoret leses den inn under Hent inn. Ingenting fjernes herfra.",
  carry: "Lagre en bunt",
  carried: (count) => (count === 1 ? "1 endring er i filen." : `${count} endringer er i filen.`),
  clockOff: (by, ahead) =>
    `Klokken på dette nettbrettet gikk ${by} ${ahead ? "foran" : "etter"} hubens. Still den riktig; det som er ført beholder tiden slik den ble skrevet, og er merket.`,
  storage: "Lagring",
  persistent: "Nettleseren har lovet å beholde journalene.",
  notPersistent:
    "Nettleseren har ikke lovet å beholde journalene: trenger den plass, kan den slette dem. Installer appen på startskjermen, utveksle ofte, og lagre en bunt før du sletter noe.",
  room: (used, left) => `${used} brukt, ${left} ledig.`,
  looks: "Utseende",
  asDevice: "Slik nettbrettet er stilt",
  day: "Dag",
  night: "Natt",
  language: "Språk",
  logs: "Logger på dette nettbrettet",
  device: "Enhet",
  log: "Logg",
  held: "Endringer her",
  atHub: "Kjent ved huben",
  last: "Siste endring",
  unknownDevice: "ikke kjent ennå",
  version: (name) => `Versjon ${name}`,
  whoseApp: "Hvem appen er fra",
  whoseAppHelp:
    "En administrator ser de samme sifrene ved huben med wrackline-server show-app. Er de ulike, før ikke mer her, og si fra til administratoren.",
  hubKey: "Hubens nøkkel",
  manifest: "Denne utgavens filliste:",
  noManifest:
    "Fillisten til denne versjonen er ikke kjent her; huben har ikke vært i nærheten siden den startet.",
  newVersion: "En ny versjon er klar.",
  startIt: "Start den",
  clockLine: (by) => `klokken går ${by} feil`,
  unproven: (why) =>
    `Huben vet ikke at du er her (${why}). Måltider, doser og observasjoner teller likevel; planer, ordinasjoner og lignende venter på en journalansvarlig til du logger inn innen rekkevidde av huben.`,
  byName: (name) =>
    `Uten huben kan ${name} likevel føre stell her: måltider, doser, observasjoner. De teller, og merkes som dette nettbrettets ord. For alt annet må huben være innen rekkevidde.`,
  byNameDo: "Fortsett uten PIN, for stell",
  locked: "Låst fordi ingenting ble ført på en stund. Det som var skrevet, er her fortsatt.",
  halted: "Appen har stanset. Alt som var lagret, er tatt vare på; start den på nytt.",
  restart: "Start på nytt",
  noPlace:
    "Denne nettleseren gir ikke appen noe sted å ha journaler (et privat vindu, eller lagring er slått av). Her kan ingenting føres; åpne appen i et vanlig vindu.",
};
