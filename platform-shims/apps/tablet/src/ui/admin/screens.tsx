// People, devices, the trail, proof.
import { words } from "../../words/words";
import type { Part, Screens } from "../place";
import { Device } from "./device";
import { Devices } from "./devices";
import { Evidence } from "./evidence";
import { Invite } from "./invite";
import { NewPerson } from "./new_person";
import { PeopleList } from "./people";
import { Person } from "./person";
import type { AdminPlace } from "./places";
import { Proof } from "./proof";
import { Trail } from "./trail";
import "./admin.css";

export const adminScreens: Screens<AdminPlace> = {
  people: () => <PeopleList />,
  person: ({ place, leave }) => <Person person={place.person} leave={leave} />,
  "new-person": ({ leave }) => <NewPerson leave={leave} />,
  devices: () => <Devices />,
  "admin-device": ({ place, leave }) => <Device device={place.device} leave={leave} />,
  invite: ({ leave }) => <Invite leave={leave} />,
  trail: ({ place }) => <Trail record={place.record} />,
  proof: () => <Proof />,
  evidence: ({ place, leave }) => <Evidence records={place.records ?? []} leave={leave} />,
};

export const adminPart: Part = {
  title: words.admin.menu,
  entries: [
    { title: words.admin.people.menu, place: { at: "people" } },
    { title: words.admin.devices.menu, place: { at: "devices" } },
    { title: words.admin.trail.menu, place: { at: "trail" } },
    { title: words.admin.proof.menu, place: { at: "proof" } },
  ],
};
