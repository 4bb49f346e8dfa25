// This file gathers what is known here of the devices: their records, and how far each one's logs have come.
import { kind } from "../../core/kinds";
import { type Held, listAll, recordKey } from "../../core/records";
import type { Client } from "../../core/client";
import type { LogStatus, StatusReply } from "../../proto/call_pb";
import { type Device, DeviceSchema } from "../../proto/roster_pb";

export interface DeviceFacts {
  held: Held<Device>;
  isHere: boolean; // The device in one's hands.
  isHub: boolean;
  logs: LogStatus[];
  lastMs: bigint; // The time of its last change that has come here; 0: none has.
}

// A log tells its device by name only, so devices of one name are told of together.
export async function devicesHere(client: Client, status: StatusReply): Promise<DeviceFacts[]> {
  const all = await listAll(client, kind.device, DeviceSchema, { allSubjects: true, withStruck: true });
  return all
    .filter(({ fields }) => !fields.ofHub)
    .map((held): DeviceFacts => {
      const logs = status.logs.filter(({ deviceName }) => deviceName === held.fields.name);
      const lastMs = logs.reduce((last, { lastStampMs }) => (lastStampMs > last ? lastStampMs : last), 0n);
      const isHere = !held.view.struck && status.deviceName === held.fields.name;
      // Device records stand in the hub's own log.
      const isHub = logs.some(({ log }) => log === held.record.log);
      return { held, isHere, isHub, logs, lastMs };
    })
    .sort((a, b) => Number(a.held.view.struck) - Number(b.held.view.struck) || Number(b.lastMs - a.lastMs));
}

export function deviceKey({ held }: DeviceFacts): string {
  return recordKey(held.record);
}
