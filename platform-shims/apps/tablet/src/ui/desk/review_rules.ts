// The rules of the review that decisions turn on: their numbers, as in core/model/kinds.h.
export const reviewRule = { disagreement: 1, doubleEntry: 2, held: 3, doseOutOfOrder: 4, foldAstray: 5 };
