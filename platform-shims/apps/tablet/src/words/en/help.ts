// Words of the first walk and the help.
export const help = {
  menu: "Help",
  title: "Help",
  moreTitle: "To look things up",

  walk: {
    title: "The first walk",
    about:
      "Seven short steps through the screens you will use. You can work meanwhile, and leave it at any step.",
    begin: "Take the walk",
    step: (at: number, all: number) => `step ${at} of ${all}`,
    next: "Next",
    back: "One back",
    leave: "Leave the walk",
    done: "That was all",
    today: {
      title: "What is due today",
      says: [
        "This is the day, pool by pool: meals, doses, water, enrichment, each with its time and how it stands. Choose your area at the top; a tap on a line opens it.",
        "Late and missed stand there in words. “Not known here” means that others may have done it and this tablet has not heard yet.",
      ],
    },
    prep: {
      title: "Weighing food",
      says: [
        "The Kitchen has what each animal gets, from which box, and what is thawing until when. Type what the scale shows: comma or point, both will do.",
        "What came back is entered later on the meal. Empty means that nobody weighed it; 0 means weighed, and nothing came back. The two are never mixed up.",
      ],
    },
    dose: {
      title: "The dose guard",
      says: [
        "A dose is opened like a meal. Before you give it you see what the vet ordered, what it comes to, and whether somebody here has entered that very dose already, and how old this knowledge is.",
        "If something does not fit, the app asks first. A refused dose is entered as refused; that is not the same as missing. In doubt hold it and ask the vet.",
      ],
    },
    tide: {
      title: "The tide line",
      says: [
        "The line at the foot says how many entries are only on this tablet. Dashed: something is only here. Whole: the hub holds everything you wrote.",
        "A tap on it opens this screen: you can carry everything away in a file, and see what the browser says of its storage.",
      ],
    },
    offline: {
      title: "With no network",
      says: [
        "Nothing changes: log, look up, correct. An entry is on the tablet’s disk when the screen says so, and stays there if the battery dies.",
        "When the hub is in reach again everything goes by itself. If two people wrote the same thing differently, both stand until an officer decides. Nothing is overwritten.",
      ],
    },
    desk: {
      title: "The desk",
      says: [
        "Here the officer brings tablets together, settles what two people told differently, closes the day and keeps plans and the roster.",
        "A mistake is no drama: entries are corrected or struck with a reason, and what stood there before stays in the trail.",
      ],
    },
    help: {
      title: "Where to find this again",
      says: [
        "Help has this walk, what the words mean, and what to do when something is odd: no hub, a lost tablet, a wrong clock, a dose shown twice.",
        "If this is the invented centre of the demo, try everything: no animal is real.",
      ],
    },
  },

  terms: {
    title: "What the words mean",
    list: [
      [
        "Tide line",
        "The line at the foot of the screen: what is above it has been set down at the hub, what is below is still only on this tablet.",
      ],
      [
        "Entries only here",
        "Written on this tablet and not yet known to be at the hub. They are safe on the tablet’s disk; if the tablet itself is lost before an exchange, they are lost with it.",
      ],
      [
        "Exchange",
        "This tablet and the hub tell each other what the other lacks. It can be cut off at any moment and goes on from there.",
      ],
      [
        "Husbandry day",
        "The calendar day at the facility in which something happened; it stands in the entry and does not move.",
      ],
      [
        "Struck",
        "Taken out of account with a reason: it counts in no figure, and stays in the trail. A strike can be taken back.",
      ],
      [
        "Double entry",
        "Two entries that seem to tell of one event, such as the same meal entered on two tablets. Only people decide whether they do.",
      ],
      [
        "Folded",
        "An officer’s word that one entry tells of the same event as another. It is counted once, and both can be seen.",
      ],
      [
        "Disagreement",
        "Two people gave one field different values without having seen each other’s. Both stand, with both names, until somebody settles it.",
      ],
      [
        "Held",
        "Kept by the hub but out of account, until an officer decides: for instance written by somebody without the role for it.",
      ],
      [
        "Close, amendment",
        "A close says that the day of an area is complete. What is written about it later is an amendment, and shown as one.",
      ],
      [
        "Seal",
        "The signature of a device over all it has written so far. A single letter altered afterwards, and the seal no longer holds.",
      ],
      ["Arrival", "The hub’s signed word of when it first held something."],
      ["Trail", "Every value that was ever written: by whom, when, on which device, why. Nothing leaves it."],
    ] as [term: string, says: string][],
  },

  when: {
    title: "What to do when …",
    list: [
      {
        title: "… there is no hub in reach",
        steps: [
          "Go on as always. Everything is kept on this tablet and goes to the hub by itself when it is in reach.",
          "What others wrote meanwhile is not here: before a dose, look at how old this tablet’s knowledge is, and ask your colleagues.",
          "For days without a network, save a bundle under “This tablet” and read it in at the desk.",
        ],
      },
      {
        title: "… a photograph shows “not on this tablet”",
        steps: [
          "The record of it is here, the file is not: open it and fetch it while the hub is in reach. What was cut off goes on from there.",
          "If the hub does not have all of it yet, the device it was taken on has still to send it: it does so by itself after its next exchange.",
          "When a tablet is full, “This tablet” removes what the hub has whole, and nothing else.",
        ],
      },
      {
        title: "… the browser may clear its storage",
        steps: [
          "Install the app to the home screen, and open it from there: browsers then keep its storage.",
          "Until the warning is gone, exchange often, and save a bundle before anybody clears the browser’s data.",
          "Never work in a private window: what is in it goes when it is closed.",
        ],
      },
      {
        title: "… a tablet is lost",
        steps: [
          "Tell an admin at once. They revoke it under Admin, Devices, with a reason; from then on the hub refuses it.",
          "What it sent before is safe. What was only on it is missing until it is found: enter what you remember, as late entries.",
          "Change your PIN if somebody may have watched you type it.",
        ],
      },
      {
        title: "… the clock is wrong",
        steps: [
          "Set the tablet’s clock by the device’s own settings, best of all by the network.",
          "What was entered keeps its time as written and is marked as by a suspect clock; correct the time of an entry where it matters, with a reason.",
          "A wrong clock overrules nobody: it never decides which value counts.",
        ],
      },
      {
        title: "… a dose is shown twice",
        steps: [
          "Give nothing more. Two people may have given it, or one dose may have been entered on two tablets.",
          "Tell the vet at once, and say what is known: who, when, how much.",
          "Then the officer settles it in the review: two entries of one dose are folded; two doses that were really given stay two.",
        ],
      },
      {
        title: "… an entry is wrong",
        steps: [
          "Just saved: take it back with Undo.",
          "Later: correct it, or strike it, with a reason. What stood there before stays in the trail, under your name.",
        ],
      },
      {
        title: "… I forgot my PIN",
        steps: [
          "An admin gives you a one-time code under Admin, People. With it you choose another, where the PIN is asked for: I have a one-time code. The hub must be in reach.",
          "Nobody can look a PIN up.",
        ],
      },
    ],
  },

  cautions: {
    title: "Be careful",
    list: [
      "Doses: check animal, preparation, amount, route and time against the label and the vet’s order. This app keeps the order; it proposes neither a drug nor a dose.",
      "Raw food: keep it cold, never refreeze, wash hands, boards and tools after each use; local rules may ask more.",
      "Animals bite and floors are wet. Put the tablet down first.",
      "Water: limits are rows people wrote, with their source. Any dosing of chemicals is for whoever leads the water quality, by the site’s limits and local codes.",
      "Figures and pictures are of what was recorded. They are no diagnosis: the vet judges.",
    ],
  },

  keys: {
    title: "With a keyboard",
    list: [
      ["Tab", "goes to the next button or field, with Shift to the one before"],
      ["Enter", "presses a button, sends a form"],
      ["Space", "presses a button, ticks a box"],
      ["Alt + ←", "goes back to where you came from"],
      ["← →", "in a chart: from point to point; Home and End to the first and last"],
    ] as [key: string, says: string][],
  },
};
