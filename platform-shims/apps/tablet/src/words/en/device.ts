// Words of the screen of the tablet itself, and of the app's start and updates.
export const device = {
  menu: "This tablet",
  title: (name: string) => `This tablet: ${name}`,
  onlyHere: "Only on this tablet",
  carryHelp:
    "With no network at all, take everything away in a file: on the desk it is read in under Bring in. Nothing is removed here.",
  carry: "Save a bundle",
  carried: (count: number) =>
    count === 1 ? "1 change is in the file." : `${count} changes are in the file.`,
  clockOff: (by: string, ahead: boolean) =>
    `This tablet’s clock was ${by} ${ahead ? "ahead of" : "behind"} the hub’s. Set it right; what was entered keeps its time as written and is marked.`,
  storage: "Storage",
  persistent: "The browser has promised to keep the records.",
  notPersistent:
    "The browser has not promised to keep the records: when it needs room it may clear them. Install the app to the home screen, exchange often, and save a bundle before you clear anything.",
  room: (used: string, left: string) => `${used} used, ${left} left.`,
  looks: "Looks",
  asDevice: "As the tablet is set",
  day: "Day",
  night: "Night",
  language: "Language",
  logs: "Logs on this tablet",
  device: "Device",
  log: "Log",
  held: "Changes here",
  atHub: "Known at the hub",
  last: "Last change",
  unknownDevice: "not known yet",
  version: (name: string) => `Version ${name}`,
  whoseApp: "Whose app this is",
  whoseAppHelp:
    "An admin sees the same digits at the hub with wrackline-server show-app. When they differ, enter nothing more here and tell the admin.",
  hubKey: "The hub’s key",
  manifest: "Manifest of this release:",
  noManifest: "The manifest of this version is not known here; the hub has not been in reach since it began.",
  newVersion: "A new version is ready.",
  startIt: "Start it",
  clockLine: (by: string) => `clock off by ${by}`,
  unproven: (why: string) =>
    `The hub does not know that you are here (${why}). Meals, doses and observations count all the same; plans, orders and the like wait for an officer until you sign in within reach of the hub.`,
  byName: (name: string) =>
    `Without the hub ${name} can still log care here: meals, doses, observations. They count, and are marked as this tablet’s word. For anything more the hub must be in reach.`,
  byNameDo: "Go on without the PIN, for care",
  locked: "Locked since nothing was entered for a while. What was typed is still here.",
  halted: "The app has halted. All that was saved is kept; start it again.",
  restart: "Start again",
  noPlace:
    "This browser gives the app no place to keep records (a private window, or storage is turned off). Nothing can be entered here; open the app in an ordinary window.",
};
