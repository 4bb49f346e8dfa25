// For tests/tablet/bench.mjs: a page whose browser was told to measure lets a test speak to the core itself.
import { create, toBinary } from "@bufbuild/protobuf";
import type { RecordRef } from "../proto/change_pb";
import { ObservationSchema } from "../proto/events_pb";
import type { Client, What } from "./client";
import { kind } from "./kinds";

export function measureIfAsked(client: Client): void {
  if (localStorage.getItem("wrackline-measure") === null) return;
  const observation = (animal: RecordRef, day: number, text: string): What => {
    const happenedMs = BigInt(day) * 86_400_000n + 43_200_000n;
    const fields = toBinary(
      ObservationSchema,
      create(ObservationSchema, { animal, day, happenedMs, utcOffsetMin: 0, text }),
    );
    return { case: "log", value: { records: [{ kind: kind.observation, fields }] } };
  };
  Object.assign(window, { wracklineClient: client, wracklineObservation: observation });
}
