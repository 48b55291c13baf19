#include "trial_oils.hpp"

#include "records/table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace tq::test {
namespace {

using records::Interpolation;
using records::Table;

struct Named {
  const char* name;
  Table table;
};

// R: fitted to the published mean figures of the D6200 round robin; F, M, S, V: to usual figures of fast,
// medium, slow oils and of vegetable oil; A, B: two mineral oils after Buczek & Telejko 2013 (Int. J. Heat
// Fluid Flow 44, 358; abstract; points between its anchors are interpolated).
const std::array<Named, 7> curves{{
    {"R", {{60, 356, 412, 488, 699, 900}, {292, 365, 2061, 6893, 770, 770}, Interpolation::log}},
    {"F", {{60, 275, 372, 506, 726, 900}, {286, 357, 1825, 6577, 856, 856}, Interpolation::log}},
    {"M", {{60, 360, 401, 481, 640, 900}, {330, 413, 1873, 4776, 681, 681}, Interpolation::log}},
    {"S", {{60, 275, 324, 478, 616, 900}, {286, 358, 1278, 2100, 500, 500}, Interpolation::log}},
    {"V", {{60, 279, 368, 593, 801, 900}, {299, 374, 1791, 2464, 1215, 1215}, Interpolation::log}},
    {"A",
     {{20, 150, 300, 420, 520, 550, 650, 750, 800, 900},
      {300, 500, 900, 2200, 4700, 4700, 1700, 620, 500, 450},
      Interpolation::log}},
    {"B",
     {{20, 150, 300, 420, 520, 550, 650, 750, 800, 900},
      {300, 500, 950, 2600, 6000, 6000, 2000, 650, 500, 450},
      Interpolation::log}},
}};

TrialOil moved(Random& random, const Named& curve) {
  Table table = curve.table;
  const double shift_K = 12 * random.normal(), ln_shift = 0.10 * random.normal();
  for (std::size_t i = 0; i < table.x.size(); ++i) {
    if (i > 0 && i + 1 < table.x.size())
      table.x[i] += shift_K + 8 * random.normal();
    table.y[i] *= std::exp(ln_shift + 0.12 * random.normal());
  }
  for (std::size_t i = 1; i < table.x.size(); ++i)
    table.x[i] = std::max(table.x[i], table.x[i - 1] + 10);
  return {std::string("curve ") + curve.name + ", corners moved", table};
}

TrialOil bell(Random& random) {
  const double convection = random.uniform(260, 480), growth = random.uniform(0, 0.4);
  const double film = random.uniform(450, 1000), top = random.uniform(1800, 7000);
  const double peak_degC = random.uniform(450, 570);
  const double below_K = random.uniform(50, 85), above_K = random.uniform(55, 100);
  const double round = random.uniform(1.6, 2.4); // 2: Gaussian flanks
  return {"bell", [=](double T) {
            const double pass = 1 / (1 + std::exp(-(T - peak_degC) / 40));
            const double base =
                convection * std::exp(growth * (std::min(T, peak_degC) - 60) / 300) * (1 - pass) +
                film * pass;
            const double width = T < peak_degC ? below_K : above_K;
            return base + top * std::exp(-0.5 * std::pow(std::abs(T - peak_degC) / width, round));
          }};
}

} // namespace

TrialOil draw_oil(Random& random, std::size_t number) {
  if (number % 2 == 0)
    return moved(random, curves[(number / 2) % curves.size()]);
  return bell(random);
}

} // namespace tq::test
