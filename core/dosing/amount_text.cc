#include "dosing/amount_text.h"

namespace wrackline {
namespace {

constexpr int kDecimals = 6;
constexpr std::int64_t kDecimalScale = 1'000'000;
constexpr char kNoAmount[] = "no amount";  // Put together by hand, and wrongly.

std::string digits(Int128 number) {
  if (number == 0) return "0";
  std::string out;
  for (; number > 0; number /= 10)
    out.insert(out.begin(), static_cast<char>('0' + static_cast<int>(number % 10)));
  return out;
}

struct Decimal {
  std::string text;
  bool is_one = false;
};

// amount / shift_scale in decimals; the amount is usable.
Decimal decimal(const ExactAmount& amount, std::int64_t shift_scale) {
  // Whole part first, so that the rest times a million stays small.
  const Int128 divisor = amount.divisor * shift_scale;
  Int128 whole = amount.numerator / divisor;
  const Int128 rest = (amount.numerator % divisor) * kDecimalScale;
  Int128 part = divide_rounded(rest, divisor);
  const bool ends = rest % divisor == 0;
  if (whole == 0 && part == 0 && !ends) return {"less than 0.000001", false};
  if (part == kDecimalScale) {
    ++whole;
    part = 0;
  }
  std::string text = digits(whole);
  if (part != 0) {
    std::string places = digits(part);
    places.insert(0, static_cast<std::size_t>(kDecimals) - places.size(), '0');
    places.erase(places.find_last_not_of('0') + 1);
    text += "." + places;
  }
  return {ends ? text : "about " + text, text == "1"};
}

}  // namespace

std::string dose_mass_text(const ExactAmount& dose_ug) {
  if (!is_usable(dose_ug)) return kNoAmount;
  if (dose_ug.numerator >= dose_ug.divisor * 1'000'000) return decimal(dose_ug, 1'000'000).text + " g";
  if (dose_ug.numerator == 0 || dose_ug.numerator >= dose_ug.divisor * 100)
    return decimal(dose_ug, 1000).text + " mg";
  const Decimal number = decimal(dose_ug, 1);
  return number.text + (number.is_one ? " microgram" : " micrograms");
}

std::string dose_volume_text(const ExactAmount& volume_ul) {
  return is_usable(volume_ul) ? decimal(volume_ul, 1000).text + " mL" : kNoAmount;
}

std::string dose_units_text(const ExactAmount& units) {
  if (!is_usable(units)) return kNoAmount;
  const Decimal number = decimal(units, 1);
  return number.text + (number.is_one ? " unit" : " units");
}

std::string tablets_text(const ExactAmount& tablets, std::string_view noun) {
  if (!is_usable(tablets)) return kNoAmount;
  const std::string one(noun);
  const std::string many = one + "s";
  if (tablets.divisor != 1 && tablets.divisor != 2 && tablets.divisor != 4)
    return decimal(tablets, 1).text + " " + many;
  const Int128 whole = tablets.numerator / tablets.divisor;
  const auto quarters = static_cast<int>(tablets.numerator % tablets.divisor * 4 / tablets.divisor);
  if (quarters == 0) return digits(whole) + " " + (whole == 1 ? one : many);
  if (whole == 0) {
    static constexpr const char* kAlone[] = {"", "a quarter of a ", "half a ", "three quarters of a "};
    return kAlone[quarters] + one;
  }
  static constexpr const char* kBehind[] = {"", " and a quarter ", " and a half ", " and three quarter "};
  return digits(whole) + kBehind[quarters] + many;
}

std::string difference_text(std::int32_t difference_ppm) {
  const auto hundredths = static_cast<std::int64_t>(divide_rounded(difference_ppm, 100));
  if (hundredths == 0) return difference_ppm == 0 ? "0 %" : "less than 0.01 %";
  const std::uint64_t size = static_cast<std::uint64_t>(hundredths < 0 ? -hundredths : hundredths);
  const Result<ExactAmount> per_cent = exact_amount(static_cast<Int128>(size), 100);
  return (hundredths < 0 ? "-" : "+") + decimal(per_cent.value(), 1).text + " %";
}

}  // namespace wrackline
