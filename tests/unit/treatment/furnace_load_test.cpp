// What stands in the furnace with the blade: neighbours, a slotted support, foil that browns, an overshoot;
// each against a closed form or against the case in which it must vanish.
#include "../../support/file_records.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq;
using namespace tq::treatment;

/// A bar of 30 x 3 mm of a plain steel in a furnace at 800 degC without sag, large against the blade, no
/// convection.
Case heat(const std::string& furnace, const std::string& more = {}) {
  const std::string text = R"case(
format = 1
stages = ["furnace"]
[blade]
steel = "tests/unit/treatment/plain_steel.toml"
length = "110 mm"
[[blade.station]]
[blade.station.outline]
x = ["0 mm", "30 mm", "30 mm", "0 mm"]
y = ["1.5 mm", "1.5 mm", "-1.5 mm", "-1.5 mm"]
[solver]
along = 16
across = 4
tolerance = "0.05 K"
[furnace]
setpoint = "800 degC"
timer = "60 min"
droop = "0 K"
wall_emissivity = 1
convection = "0 W/(m2 K)"
)case" + furnace + more;
  return read_case(text, "furnace.toml", test::FileRecords());
}

double reaches(const Case& c, double level_degC, Zone zone = zone_middle) {
  const treatment::Run run = run_station(c, 0);
  EXPECT_LT(run.energy_residual, 1e-10);
  return first_rise(run.time_s, run.zones[zone].temperature, level_degC, 0, 3600);
}

constexpr double width = 30e-3, thickness = 3e-3;

TEST(FurnaceLoad, ThreeBlades_HeatInProportionToWhatTheyReceive) {
  // Radiation alone on a body thin enough to be even: the time to a temperature goes as 1 / sum(emissivity x
  // face).
  const double e = 0.8, view = std::sqrt(1 + 1.0) - 1; // 30 mm apart, 30 mm wide
  const double shaded = e * (1 - view) / (1 - (1 - e) * view);
  const double alone = reaches(heat("", "[surface]\nfurnace = 0.8\n"), 600),
               three = reaches(heat("blades = 3\nspacing = \"30 mm\"\n", "[surface]\nfurnace = 0.8\n"), 600),
               two = reaches(heat("blades = 2\nspacing = \"30 mm\"\n", "[surface]\nfurnace = 0.8\n"), 600);
  const double open = 2 * e * (width + thickness);
  // even to some 3 K of 580 on the way up
  EXPECT_NEAR(three / alone, open / (2 * shaded * width + 2 * e * thickness), 0.01);
  EXPECT_NEAR(two / alone, open / ((shaded + e) * width + 2 * e * thickness), 0.01);
}

TEST(FurnaceLoad, BladesFarApart_AreEachAlone) {
  const double alone = reaches(heat(""), 700), apart = reaches(heat("blades = 3\nspacing = \"1 m\"\n"), 700);
  EXPECT_NEAR(apart / alone, 1, 0.02); // a strip 30 mm wide sees 1.5 % of another a metre away
}

TEST(FurnaceLoad, SlotAlone_HeatsByItsConductance) {
  // No radiation and no convection: T rises as 1 - exp(-t / tau), tau = rho c A / (U (thickness + 2 depth)),
  // less the resistance along the bar; with U so small that the bar stays even (U L^2 / (k d) = 0.03) it is
  // left out.
  const std::string dark = "[surface]\nfurnace = 0\n";
  const Case c = heat(
      "timer_from = \"door\"\n[furnace.support]\ndepth = \"4 mm\"\nconductance = \"3 W/(m2 K)\"\n", dark);
  const treatment::Run run = run_station(c, 0);
  const auto& T = run.zones[zone_middle].temperature;
  const double c_mean = (trace_value(run.time_s, run.heat_out_J_m, 600) - run.heat_out_J_m.front()) /
                        (T.front() - trace_value(run.time_s, T, 600)) / (7800 * width * thickness);
  EXPECT_GT(c_mean, 400); // what the bar took is its own heat
  const double given = -(trace_value(run.time_s, run.heat_out_J_m, 600) - run.heat_out_J_m.front());
  // received: U (thickness + 2 depth) times the difference to the furnace, which hardly changes in 10 min
  const double mean_K = 800 - 0.5 * (T.front() + trace_value(run.time_s, T, 600));
  EXPECT_NEAR(given, 3 * (thickness + 2 * 4e-3) * mean_K * 600, 0.01 * given);
}

TEST(FurnaceLoad, ColdSlot_LeavesTheSpineBehind) {
  const treatment::Run hot = run_station(heat("[furnace.support]\ndepth = \"3 mm\"\n"), 0),
                       cold =
                           run_station(heat("[furnace.support]\ndepth = \"3 mm\"\ncooler = \"100 K\"\n"), 0);
  EXPECT_NEAR(hot.zones[zone_spine].temperature.back(), 800, 1);
  EXPECT_LT(cold.zones[zone_spine].temperature.back(), 795);
  EXPECT_GT(cold.zones[zone_spine].temperature.back(), 700);
}

TEST(FurnaceLoad, FoilThatDoesNotChange_IsTheFoil) {
  const std::string foil = "[wrap]\ngap = \"0.3 mm\"\nemissivity_inside = 0.3\n";
  const double plain = reaches(heat("", foil + "emissivity_outside = 0.7\n"), 750);
  EXPECT_NEAR(reaches(heat("", foil + "emissivity_outside = 0.7\nemissivity_oxidised = 0.7\n"), 750), plain,
              0.01 * plain);
  // browned at once
  EXPECT_NEAR(reaches(heat("", foil + "emissivity_outside = 0.3\nemissivity_oxidised = 0.7\n"
                                      "oxidises_in = \"1 s\"\n"),
                      750),
              plain, 0.01 * plain + 1);
  // and while it browns the blade comes between bright and brown
  const double bright = reaches(heat("", foil + "emissivity_outside = 0.3\n"), 750),
               browning =
                   reaches(heat("", foil + "emissivity_outside = 0.3\nemissivity_oxidised = 0.7\n"), 750);
  EXPECT_GT(browning, 1.02 * plain);
  EXPECT_LT(browning, 0.98 * bright);
}

TEST(FurnaceLoad, Overshoot_IsSeenByTheBlade) {
  const treatment::Run run = run_station(heat("overshoot = \"15 K\"\novershoot_peak = \"5 min\"\n"), 0);
  const auto& T = run.zones[zone_edge].temperature;
  double hottest = 0;
  for (double t : T)
    hottest = std::max(hottest, t);
  EXPECT_GT(hottest, 805);
  EXPECT_LT(hottest, 815);
  EXPECT_NEAR(trace_value(run.time_s, run.surroundings_degC, 300), 815, 0.1);
}

} // namespace
