// The usual cautions, where the work happens. They inform; the vet, licensed practice and local codes decide.
#pragma once

#include <string>
#include <string_view>

#include "text/table.h"

namespace wrackline::cli {

inline constexpr char kDoseCaution[] =
    "Check animal, preparation, amount, route and time against the label and the vet's order before giving. "
    "This program keeps the order; it proposes neither a drug nor a dose. In doubt, hold and ask the vet.";

inline constexpr char kFoodCaution[] =
    "Raw food: keep it cold until it is fed, use it within 24 h of leaving the freezer, never refreeze, wash "
    "hands and tools after each use; local rules may ask more. Mind bites and wet floors.";

inline constexpr char kPrepCaution[] =
    "Thaw in the refrigerator or in cold water only, never in the warm; never refreeze. Wash hands, boards and tools "
    "after each use. Discard what is past its time, or smells or looks wrong. Plans and doses are the vet's; local codes "
    "may ask more.";

inline constexpr char kIntakeCaution[] =
    "Figures are of what was recorded; unrecorded is not zero. Energy and dry matter come from the foods' "
    "stated sources. They are no diagnosis and no ration: the vet or nutritionist decides.";

inline constexpr char kWaterCaution[] =
    "Test kits and probes have ranges and drift: calibrate them, and repeat a reading that surprises. A pH is on the "
    "NBS scale unless its method says otherwise. Limits are rows people wrote, with their source. What to do, and "
    "any dosing of chemicals, is for the vet and whoever leads the water quality; local codes may ask more.";

inline constexpr char kAttentionCaution[] =
    "Made from what was recorded: an empty list does not say that all is well, and the list is no diagnosis. The "
    "vet decides; an animal that does not eat for over 24 h is told to the vet at once, whatever stands here.";

inline constexpr char kEnrichmentCaution[] =
    "This is a suggestion; who knows the animal chooses. Look the enricher over before and after each use, and take out "
    "what is broken, loose or could be swallowed.";

inline constexpr char kTrainingCaution[] =
    "Food given in training is part of the day's ration. Mind bites and wet floors; stop when the animal leaves.";

inline constexpr char kTrendCaution[] =
    "Information for the vet or nutritionist, never applied by itself. Days that were not recorded or not wholly weighed "
    "are gaps, not zeros; a marked day is a reason to look, no diagnosis.";

inline constexpr char kBodyCaution[] =
    "Figures are of what was measured and are no diagnosis: the vet judges an animal's condition.";

inline constexpr char kPictureCaution[] =
    "The picture goes to the hub as it is, and who has a device of this facility can fetch it. It may show people, and may "
    "hold where and when it was taken: take that out first if it is not to be known.";

inline constexpr char kRetentionCaution[] =
    "Every period here is a floor, by the text named beside it. Local codes, permits, contracts, an open case or a study may "
    "ask for longer; then the longer one holds. Past its minimum is no leave to remove: this program lists, and removes "
    "nothing. The admin decides, with whoever answers for the records.";

// Prose as lines of the usual width.
inline std::string wrapped_lines(std::string_view caution, std::size_t indent = 0) {
  std::string out;
  for (const std::string& line : text::wrap(caution, text::kTableWidth - indent))
    out += std::string(indent, ' ') + line + "\n";
  return out;
}

}  // namespace wrackline::cli
