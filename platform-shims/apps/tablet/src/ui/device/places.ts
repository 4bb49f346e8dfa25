export type DevicePlace = { at: "tablet" };
