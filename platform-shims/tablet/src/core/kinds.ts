// Numbers of the kinds of record that screens write or list; as in core/model/kinds.h.
export const kind = {
  person: 2,
  animal: 5,
  food: 6,
  meal: 8,
  portion: 9,
  measure: 10,
  observation: 11,
  treatmentOrder: 12,
  administration: 13,
  code: 24,
  waterReading: 26,
} as const;
