#include "nutrition/foods_sr28.h"

namespace wrackline {
namespace {

constexpr std::nullopt_t kNone = std::nullopt;  // The table leaves it empty.

// These stand in the table's food descriptions, by the kind of food.
constexpr AtwaterFactors kLeaf = {AtwaterKind::kSpecific, 2440, 8370, 3570};
constexpr AtwaterFactors kFish = {AtwaterKind::kSpecific, 4270, 9020, 3870};
constexpr AtwaterFactors kShellfish = {AtwaterKind::kSpecific, 4270, 9020, 4110};

}  // namespace

// Number, energy, then water, protein, fat, carbohydrate, ash and fibre, then calcium and phosphorus.
constexpr std::array<TableFood, 12> kFoodsSr28 = {{
    // clang-format off
    {"Lettuce, cos or romaine", 11251, 170, {946100, 12300, 3000, 32900, 5800, 21000}, 330, 300, kLeaf},
    {"Lettuce, green leaf", 11253, 150, {949800, 13600, 1500, 28700, 6200, 13000}, 360, 290, kLeaf},
    {"Cucumber, with peel", 11205, 150, {952300, 6500, 1100, 36300, 3800, 5000}, 160, 240, kLeaf},
    {"Pepper, sweet, green", 11333, 200, {938900, 8600, 1700, 46400, 4300, 17000}, 100, 200, kLeaf},
    {"Kale", 11233, 490, {840400, 42800, 9300, 87500, 20100, 36000}, 1500, 920, kLeaf},
    {"Herring, Atlantic", 15039, 1580, {720500, 179600, 90400, 0, 14600, 0}, 570, 2360, kFish},
    {"Herring, Pacific", 15043, 1950, {715200, 163900, 138800, 0, 23700, 0}, 830, 2280, kFish},
    {"Mackerel, Atlantic", 15046, 2050, {635500, 186000, 138900, 0, 13500, 0}, 120, 2170, kFish},
    {"Smelt, rainbow", 15099, 970, {787700, 176300, 24200, 0, 14000, 0}, 600, 2300, kFish},
    {"Squid, mixed species", 15175, 920, {785500, 155800, 13800, 30800, 14100, 0}, 320, 2210, kShellfish},
    {"Shrimp, mixed species", 15149, 710, {830100, 136100, 10100, 9100, 18600, 0}, 540, 2440, kShellfish},
    {"Shrimp, not previously frozen", 15270, 850, {784500, 201000, 5100, 0, 12300, kNone}, 640, 2140, kNone},
    // clang-format on
}};

}  // namespace wrackline
