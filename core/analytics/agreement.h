// Do two observers, who watched the same things, name them alike; beyond what chance would give.
//
// Cohen 1960, Educ. Psychol. Meas. 20:37-46; weighted: Cohen 1968, Psychol. Bull. 70:213-220. No verbal scale
// ("good", "fair") is offered: kappa depends on how common each category is.
#pragma once

#include <optional>
#include <vector>

namespace wrackline {

// table[a][b]: how often, or with what share, the first said a and the second b. Square, no negative entry.
using AgreementTable = std::vector<std::vector<double>>;

// 1 = always alike, 0 = as by chance, below 0 = less than that. Absent when the table is not as above or
// empty, or when chance alone would give full agreement (both used one and the same category throughout).
std::optional<double> cohen_kappa(const AgreementTable& table);

// `disagreement[a][b]`: how bad it is to say a for b; as large as the table, not negative, 0 on the diagonal.
// All ones off the diagonal gives cohen_kappa. Absent as above, or when no disagreement by chance carries a
// weight.
std::optional<double> weighted_kappa(const AgreementTable& table,
                                     const std::vector<std::vector<double>>& disagreement);

}  // namespace wrackline
