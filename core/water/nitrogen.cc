#include "water/nitrogen.h"

#include "base/rounding.h"

namespace wrackline {
namespace {

constexpr Int128 kHundredThousand = 100'000;

// Mass of the form per mass of its nitrogen, in hundred-thousandths; 0 for what is no form.
Int128 factor(NitrogenForm form) {
  switch (form) {
    case NitrogenForm::kAmmonia:
      return 121'589;
    case NitrogenForm::kNitrite:
      return 328'453;
    case NitrogenForm::kNitrate:
      return 442'680;
  }
  return 0;
}

}  // namespace

std::optional<std::int64_t> as_itself_ng_per_l(NitrogenForm form, std::int64_t nitrogen_ng_per_l) {
  if (nitrogen_ng_per_l < 0 || factor(form) == 0) return std::nullopt;
  return fit<std::int64_t>(divide_rounded(nitrogen_ng_per_l * factor(form), kHundredThousand));
}

std::optional<std::int64_t> as_nitrogen_ng_per_l(NitrogenForm form, std::int64_t itself_ng_per_l) {
  if (itself_ng_per_l < 0 || factor(form) == 0) return std::nullopt;
  return fit<std::int64_t>(divide_rounded(itself_ng_per_l * kHundredThousand, factor(form)));
}

}  // namespace wrackline
