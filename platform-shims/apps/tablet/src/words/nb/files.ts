import type { files as english } from "../en/files";

export const files: typeof english = {
  title: "Bilder og dokumenter",
  add: "Bilde eller dokument",
  attachTitle: (name) => `Legg ved ${name}`,
  caution:
    "Et bilde går til huben slik det er, og alle med en enhet ved denne stasjonen kan hente det. Det kan vise personer, og kan inneholde hvor og når det ble tatt: fjern det først hvis det ikke skal bli kjent. Pass på bitt og våte gulv, og bruk aldri blits der dyret skvetter.",
  take: "Ta et bilde",
  choose: "Velg en fil",
  kinds: "JPEG-, PNG- eller WebP-bilder, PDF og ren tekst, opptil 64 MB hver.",
  keeping: "Den tas vare på på dette nettbrettet …",
  note: "Hva det viser",
  called: "Navn",
  leaveOut: (name) => `Utelat ${name}`,
  nothingChosen: "Ta et bilde eller velg en fil først.",
  gone: (name) =>
    `${name} er ikke lenger på dette nettbrettet. Ingenting ble lagret; velg den på nytt, eller utelat den.`,
  saved: (n) =>
    n === 1
      ? "Filen er på dette nettbrettet; den går til huben etter journalene."
      : `${n} filer er på dette nettbrettet; de går til huben etter journalene.`,
  nothing: "Ingenting er lagt ved.",
  showAll: (n) => `Vis alle ${n}`,
  picture: (name) => `Bilde: ${name}`,
  notHere: "ikke på dette nettbrettet",
  fetch: (size) => `Hent den fra huben, ${size}`,
  fetching: (done, all) => `${done} av ${all} er her`,
  stop: "Stopp; fortsett senere",
  saveCopy: "Lagre en kopi",
  noPicture: "Denne nettleseren kan ikke vise den; lagre en kopi og åpne den.",
  onTheirWay: (n) => (n === 1 ? "1 fil er på vei" : `${n} filer er på vei`),
  left: (n) => (n === 1 ? "1 fil gjenstår å sende" : `${n} filer gjenstår å sende`),
  here: (n, size) => (n === 1 ? `1 fil, ${size}.` : `${n} filer, ${size}.`),
  noneHere: "Ingen er på dette nettbrettet.",
  makeRoom: "Fjern det huben har",
  makeRoomHelp:
    "Huben blir spurt først, og bare det den har helt blir fjernet her. Alt kan hentes igjen, og små bilder blir stående.",
  removed: (n, size) => (n === 1 ? `1 fil er fjernet, ${size}.` : `${n} filer er fjernet, ${size}.`),
  nothingRemoved: "Ingenting er fjernet: huben har ingen av dem helt.",

  otherFile: "Det som kom er en annen fil enn det ble spurt om. Ingenting av den er beholdt; prøv igjen.",
  tooLarge: "En fil kan ha høyst 64 MB. Ingenting ble beholdt; gjør den mindre, eller skriv hvor den ligger.",
  notTaken:
    "Slike filer tas ikke imot, uansett hva navnet sier. Ingenting ble beholdt. Et JPEG-, PNG- eller WebP-bilde, en PDF eller ren tekst tas imot.",
  notThere: "Huben har ikke hele filen ennå: enheten den kommer fra har ennå ikke sendt den.",
  noRoom:
    "Det er ikke plass til den på dette nettbrettet. Ingenting ble beholdt; gjør plass under Dette nettbrettet, og prøv igjen.",
};
