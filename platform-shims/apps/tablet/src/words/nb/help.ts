// Words of the first walk and the help.
import type { help as english } from "../en/help";

export const help: typeof english = {
  menu: "Hjelp",
  title: "Hjelp",
  moreTitle: "Å slå opp",

  walk: {
    title: "Den første runden",
    about:
      "Sju korte steg gjennom skjermbildene du kommer til å bruke. Du kan arbeide imens, og forlate den når som helst.",
    begin: "Ta runden",
    step: (at, all) => `steg ${at} av ${all}`,
    next: "Neste",
    back: "Ett tilbake",
    leave: "Forlat runden",
    done: "Det var alt",
    today: {
      title: "Hva som skal gjøres i dag",
      says: [
        "Dette er dagen, basseng for basseng: måltider, doser, vann, berikelse, hver med tid og tilstand. Velg området ditt øverst; et trykk på en linje åpner den.",
        "For sent og uteblitt står der med ord. «Ikke kjent her» betyr at andre kan ha gjort det uten at dette nettbrettet har hørt det ennå.",
      ],
    },
    prep: {
      title: "Å veie fôr",
      says: [
        "Fôrkjøkkenet viser hva hvert dyr får, fra hvilken kasse, og hva som tiner til når. Skriv det vekten viser: komma eller punktum, begge går.",
        "Det som kom tilbake føres senere på måltidet. Tomt betyr at ingen veide det; 0 betyr veid, og ingenting kom tilbake. De to blandes aldri.",
      ],
    },
    dose: {
      title: "Dosevakten",
      says: [
        "En dose åpnes som et måltid. Før du gir den ser du hva veterinæren ordinerte, hva det blir, og om noen allerede har ført nettopp den dosen her, og hvor gammel denne kunnskapen er.",
        "Stemmer noe ikke, spør appen først. En nektet dose føres som nektet; det er ikke det samme som en som mangler. I tvil: hold tilbake og spør veterinæren.",
      ],
    },
    tide: {
      title: "Tidevannslinjen",
      says: [
        "Linjen nederst sier hvor mange oppføringer som bare er på dette nettbrettet. Stiplet: noe er bare her. Hel: huben har alt du skrev.",
        "Et trykk på den åpner dette skjermbildet: du kan bære alt bort i en fil, og se hva nettleseren sier om lageret sitt.",
      ],
    },
    offline: {
      title: "Uten nett",
      says: [
        "Ingenting endrer seg: før, slå opp, rett. En oppføring er på nettbrettets disk når skjermen sier det, og blir der om batteriet går tomt.",
        "Når huben er innen rekkevidde igjen går alt av seg selv. Skrev to personer det samme ulikt, står begge til en journalansvarlig avgjør. Ingenting overskrives.",
      ],
    },
    desk: {
      title: "Kontoret",
      says: [
        "Her fører den journalansvarlige nettbrettene sammen, gjør opp det to personer sa ulikt, lukker dagen og holder planer og register i orden.",
        "En feil er ikke noe drama: oppføringer rettes eller strykes med en grunn, og det som sto der før blir i sporet.",
      ],
    },
    help: {
      title: "Hvor du finner dette igjen",
      says: [
        "Hjelp har denne runden, hva ordene betyr, og hva du gjør når noe er rart: ingen hub, et mistet nettbrett, feil klokke, en dose vist to ganger.",
        "Er dette det oppdiktede senteret fra demoen, prøv alt: ingen dyr er virkelige.",
      ],
    },
  },

  terms: {
    title: "Hva ordene betyr",
    list: [
      [
        "Tidevannslinje",
        "Linjen nederst på skjermen: det over den er satt i land hos huben, det under er fortsatt bare på dette nettbrettet.",
      ],
      [
        "Oppføringer bare her",
        "Skrevet på dette nettbrettet og ennå ikke kjent hos huben. De er trygge på nettbrettets disk; mistes selve nettbrettet før en utveksling, er de borte med det.",
      ],
      [
        "Utveksling",
        "Nettbrettet og huben forteller hverandre det den andre mangler. Den kan brytes når som helst og fortsetter derfra.",
      ],
      ["Dag", "Kalenderdagen ved anlegget da noe skjedde; den står i oppføringen og flytter seg ikke."],
      [
        "Strøket",
        "Tatt ut av regnskapet med en grunn: teller ikke i noe tall, og blir i sporet. En strykning kan tas tilbake.",
      ],
      [
        "Dobbel oppføring",
        "To oppføringer som ser ut til å fortelle om én hendelse, som samme måltid ført på to nettbrett. Bare folk avgjør om de gjør det.",
      ],
      [
        "Foldet",
        "En journalansvarligs ord for at en oppføring forteller om samme hendelse som en annen. Den telles én gang, og begge kan sees.",
      ],
      [
        "Uenighet",
        "To personer ga ett felt ulike verdier uten å ha sett hverandres. Begge står, med begge navn, til noen gjør det opp.",
      ],
      [
        "Holdt",
        "Tatt vare på av huben, men utenfor regnskapet til en journalansvarlig avgjør: for eksempel skrevet av noen uten rollen til det.",
      ],
      [
        "Lukking, rettelse i ettertid",
        "En lukking sier at dagen for et område er fullstendig. Det som skrives om den senere er en rettelse i ettertid, og vises slik.",
      ],
      [
        "Segl",
        "En enhets signatur over alt den har skrevet hittil. Endres én bokstav etterpå, holder ikke seglet lenger.",
      ],
      ["Ankomst", "Hubens signerte ord for når den først hadde noe."],
      [
        "Spor",
        "Hver verdi som noen gang ble skrevet: av hvem, når, på hvilken enhet, hvorfor. Ingenting forlater det.",
      ],
    ],
  },

  when: {
    title: "Hva gjør jeg når …",
    list: [
      {
        title: "… ingen hub er innen rekkevidde",
        steps: [
          "Fortsett som alltid. Alt blir tatt vare på på dette nettbrettet og går til huben av seg selv når den er innen rekkevidde.",
          "Det andre skrev imens er ikke her: se før en dose hvor gammel nettbrettets kunnskap er, og spør kollegene.",
          "Ved dager uten nett: lagre en bunt under «Dette nettbrettet» og les den inn på kontoret.",
        ],
      },
      {
        title: "… et bilde står som «ikke på dette nettbrettet»",
        steps: [
          "Journalen om det er her, filen ikke: åpne den og hent den mens huben er i rekkevidde. Det som ble avbrutt, går videre derfra.",
          "Har huben ikke hele filen ennå, må enheten den ble tatt på først sende den: det gjør den av seg selv etter neste utveksling.",
          "Når et nettbrett er fullt, fjerner «Dette nettbrettet» det huben har helt, og ikke noe annet.",
        ],
      },
      {
        title: "… nettleseren kan tømme lageret",
        steps: [
          "Installer appen på hjemskjermen, og åpne den derfra: da beholder nettleseren lageret.",
          "Utveksle ofte til advarselen er borte, og lagre en bunt før noen sletter nettleserens data.",
          "Arbeid aldri i et privat vindu: det som er der forsvinner når det lukkes.",
        ],
      },
      {
        title: "… et nettbrett er mistet",
        steps: [
          "Si fra til en administrator straks. De trekker det tilbake under Administrasjon, Enheter, med en grunn; fra da av avviser huben det.",
          "Det som ble sendt før er trygt. Det som bare var på det mangler til det blir funnet: før det du husker, som sene oppføringer.",
          "Skift PIN om noen kan ha sett deg skrive den.",
        ],
      },
      {
        title: "… klokken er feil",
        steps: [
          "Still nettbrettets klokke i enhetens egne innstillinger, aller helst etter nettet.",
          "Det som ble ført beholder tiden som skrevet og merkes med mistenkelig klokke; rett tiden på en oppføring der det betyr noe, med en grunn.",
          "En feil klokke overstyrer ingen: den avgjør aldri hvilken verdi som gjelder.",
        ],
      },
      {
        title: "… en dose vises to ganger",
        steps: [
          "Gi ikke mer. To personer kan ha gitt den, eller én dose kan være ført på to nettbrett.",
          "Si fra til veterinæren straks, og fortell det som er kjent: hvem, når, hvor mye.",
          "Så gjør den journalansvarlige det opp i gjennomgangen: to oppføringer av én dose foldes; to doser som virkelig ble gitt forblir to.",
        ],
      },
      {
        title: "… en oppføring er feil",
        steps: [
          "Nettopp lagret: ta den tilbake med Angre.",
          "Senere: rett den, eller stryk den, med en grunn. Det som sto der før blir i sporet, under ditt navn.",
        ],
      },
      {
        title: "… jeg har glemt PIN-en min",
        steps: [
          "En administrator gir deg en engangskode under Administrasjon, Folk. Med den velger du en annen, der PIN-en spørres etter: Jeg har en engangskode. Huben må være innen rekkevidde.",
          "Ingen kan slå opp en PIN.",
        ],
      },
    ],
  },

  cautions: {
    title: "Vær varsom",
    list: [
      "Doser: kontroller dyr, preparat, mengde, vei og tid mot etiketten og veterinærens ordinasjon. Appen tar vare på ordinasjonen; den foreslår verken legemiddel eller dose.",
      "Rått fôr: hold det kaldt, frys aldri på nytt, vask hender, brett og redskap etter hver bruk; lokale regler kan kreve mer.",
      "Dyr biter og gulv er våte. Legg fra deg nettbrettet først.",
      "Vann: grenser er rader som folk har skrevet, med kilde. All dosering av kjemikalier er for den som leder vannkvaliteten, etter anleggets grenser og lokale regler.",
      "Tall og bilder er av det som ble registrert. De er ingen diagnose: veterinæren vurderer.",
    ],
  },

  keys: {
    title: "Med tastatur",
    list: [
      ["Tab", "går til neste knapp eller felt, med Shift til forrige"],
      ["Enter", "trykker en knapp, sender et skjema"],
      ["Mellomrom", "trykker en knapp, krysser av"],
      ["Alt + ←", "går tilbake dit du kom fra"],
      ["← →", "i et diagram: fra punkt til punkt; Home og End til det første og siste"],
    ],
  },
};
