// Words of photographs and documents that are attached to records.
export const files = {
  title: "Photographs and documents",
  add: "Photograph or document",
  attachTitle: (name: string) => `Attach to ${name}`,
  caution:
    "A picture goes to the hub as it is, and who has a device of this facility can fetch it. It may show people, and may hold where and when it was taken: take that out first if it is not to be known. Mind bites and wet floors, and never use a flash where the animal is startled.",
  take: "Take a photograph",
  choose: "Choose a file",
  kinds: "JPEG, PNG or WebP pictures, PDF and plain text, up to 64 MB each.",
  keeping: "It is being kept on this tablet …",
  note: "What it shows",
  called: "Called",
  leaveOut: (name: string) => `Leave out ${name}`,
  nothingChosen: "Take a photograph or choose a file first.",
  gone: (name: string) =>
    `${name} is no longer on this tablet. Nothing was saved; choose it again, or leave it out.`,
  saved: (n: number) =>
    n === 1
      ? "The file is on this tablet; it goes to the hub after the records."
      : `${n} files are on this tablet; they go to the hub after the records.`,
  nothing: "Nothing is attached.",
  showAll: (n: number) => `Show all ${n}`,
  picture: (name: string) => `Picture: ${name}`,
  notHere: "not on this tablet",
  fetch: (size: string) => `Fetch it from the hub, ${size}`,
  fetching: (done: string, all: string) => `${done} of ${all} are here`,
  stop: "Stop; go on later",
  saveCopy: "Save a copy",
  noPicture: "This browser cannot show it; save a copy and open that.",
  // On the line at the foot.
  onTheirWay: (n: number) => (n === 1 ? "1 file on its way" : `${n} files on their way`),
  left: (n: number) => (n === 1 ? "1 file still to send" : `${n} files still to send`),
  // On the screen of the tablet.
  here: (n: number, size: string) => (n === 1 ? `1 file, ${size}.` : `${n} files, ${size}.`),
  noneHere: "None is on this tablet.",
  makeRoom: "Remove what the hub has",
  makeRoomHelp:
    "The hub is asked first, and only what it has whole is removed here. Each can be fetched again, and small pictures stay.",
  removed: (n: number, size: string) =>
    n === 1 ? `1 file is removed, ${size}.` : `${n} files are removed, ${size}.`,
  nothingRemoved: "Nothing is removed: the hub has none of them whole.",

  otherFile: "What came is another file than was asked for. Nothing of it is kept; try again.",
  tooLarge: "A file may have at most 64 MB. Nothing was kept; make it smaller, or write where it lies.",
  notTaken:
    "Such files are not taken, whatever their name says. Nothing was kept. A JPEG, PNG or WebP picture, a PDF or a plain text is.",
  notThere: "The hub does not have all of it yet: the device it comes from has still to send it.",
  noRoom:
    "There is no room for it on this tablet. Nothing was kept; make room under This tablet, and try again.",
};
