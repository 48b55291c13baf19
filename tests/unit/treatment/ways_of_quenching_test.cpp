// Interrupted, two-step, edge-only, clay-coated and plate quenches, each in the limit in which it must be a
// quench already known.
#include "../../support/file_records.hpp"
#include "treatment/run.hpp"
#include "treatment/simulation.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace {

using namespace tq;
using namespace tq::treatment;

/// O1 at 800 degC as austenite, 3.2 mm at the spine, quenched and cooled; `more` is added to the case.
Case quench(const std::string& bath, const std::string& more = {}) {
  const std::string text = R"(
format = 1
stages = ["bath", "cool"]
[start]
temperature = "800 degC"
[blade]
steel = "O1"
length = "110 mm"
[[blade.station]]
width = "30 mm"
spine = "3.2 mm"
edge = "0.6 mm"
[solver]
along = 32
across = 4
tolerance = "0.02 K"
)" + bath + more;
  return read_case(text, "quench.toml", test::FileRecords());
}

const std::string oil = "[bath]\ncoolant = \"medium-oil\"\nvolume = \"large\"\ntime = \"30 s\"\n";

/// Greatest difference of the zones' temperatures at times after the start of the bath.
double difference(const treatment::Run& a, const treatment::Run& b, std::initializer_list<double> times_s) {
  double worst = 0;
  for (double t : times_s)
    for (std::size_t z = 0; z < zone_count; ++z)
      worst = std::max(worst, std::abs(trace_value(a.time_s, a.zones[z].temperature, t) -
                                       trace_value(b.time_s, b.zones[z].temperature, t)));
  return worst;
}

const std::initializer_list<double> times{0.5, 1, 2, 4, 8, 15, 25};
// both runs keep the error of a step below 0.02 K and take some hundred steps of their own
constexpr double two_runs_K = 0.5;

TEST(WaysOfQuenching, LiftedAtATemperature_LeavesTheBathExactlyThere) {
  const treatment::Run plain = run_station(quench(oil), 0);
  for (const char* where : {"surface", "inside", "edge", "spine"}) {
    const treatment::Run run =
        run_station(quench(oil + "out_at = \"230 degC\"\nout_where = \"" + where + "\"\n"), 0);
    const double lifted = run.spans[0].to_s;
    EXPECT_GT(lifted, 0.5) << where;
    EXPECT_LT(lifted, 30) << where;
    if (std::string(where) == "spine") {
      EXPECT_NEAR(trace_value(run.time_s, run.zones[zone_spine].temperature, lifted), 230, 0.05);
    }
    if (std::string(where) == "edge") {
      EXPECT_NEAR(trace_value(run.time_s, run.zones[zone_edge].temperature, lifted), 230, 0.05);
    }
    // until then it is the plain quench
    EXPECT_NEAR(trace_value(run.time_s, run.zones[zone_spine].temperature, lifted),
                trace_value(plain.time_s, plain.zones[zone_spine].temperature, lifted), two_runs_K);
    EXPECT_LT(run.energy_residual, 1e-11);
  }
}

TEST(WaysOfQuenching, InterruptedAboveMs_FormsItsMartensiteInTheAir) {
  const treatment::Run run = run_station(quench(oil + "out_at = \"260 degC\"\nout_where = \"inside\"\n"), 0);
  const double lifted = run.spans[0].to_s;
  int later = 0;
  for (const Event& e : run.events)
    if (e.kind == EventKind::martensite_starts && (e.zone == zone_spine || e.zone == zone_thickest)) {
      EXPECT_GT(e.time_s, lifted + 1); // time to straighten
      ++later;
    }
  EXPECT_EQ(later, 2);
}

TEST(WaysOfQuenching, TwoBathsOfTheSameOil_AreOneQuench) {
  const std::string first = "[bath]\ncoolant = \"medium-oil\"\nvolume = \"large\"\ntime = \"3 s\"\n";
  const std::string second = "[second_bath]\ncoolant = \"medium-oil\"\nvolume = \"large\"\ntime = \"27 s\"\n"
                             "move = \"0 s\"\n";
  const treatment::Run two = run_station(quench(first, second), 0), one = run_station(quench(oil), 0);
  ASSERT_EQ(two.spans.size(), 4u); // the way to the second bath is a step
  EXPECT_EQ(two.spans[2].cycle, 2);
  EXPECT_NEAR(two.spans[2].to_s, 30, 1e-9);
  EXPECT_LT(difference(two, one, times), two_runs_K);
}

TEST(WaysOfQuenching, WaterThenOil_CoolsAsWaterFirst) {
  const std::string water = "[bath]\ncoolant = \"water\"\nvolume = \"large\"\ntime = \"1 s\"\n";
  const treatment::Run two = run_station(quench(water, "[second_bath]\nvolume = \"large\"\n"), 0);
  const treatment::Run plain = run_station(quench("[bath]\ncoolant = \"water\"\nvolume = \"large\"\n"), 0);
  EXPECT_LT(difference(two, plain, {0.3, 0.6, 1.0}), two_runs_K);
  EXPECT_GT(trace_value(two.time_s, two.zones[zone_spine].temperature, 4),
            trace_value(plain.time_s, plain.zones[zone_spine].temperature, 4) + 20);
}

TEST(WaysOfQuenching, ImmersedToTheSpine_IsThePlunge) {
  const treatment::Run deep = run_station(quench(oil + "immersion = \"30 mm\"\n"), 0),
                       plunge = run_station(quench(oil), 0);
  EXPECT_LT(difference(deep, plunge, times), 1e-9);
}

TEST(WaysOfQuenching, EdgeOnly_HardensTheEdgeAndLeavesTheSpineSoft) {
  Case c = quench(oil + "immersion = \"10 mm\"\n");
  const treatment::Run run = run_station(c, 0);
  const auto at = [&](Zone zone) { return static_cast<std::size_t>(run.zone_column[zone]); };
  EXPECT_GT(run.after_cool.martensite[at(zone_edge)], 0.8);
  EXPECT_LT(run.after_cool.martensite[at(zone_spine)], run.after_cool.martensite[at(zone_edge)]);
  EXPECT_GT(trace_value(run.time_s, run.zones[zone_spine].temperature, 5), 500);
  EXPECT_LT(trace_value(run.time_s, run.zones[zone_edge].temperature, 5), 300);
  EXPECT_LT(run.energy_residual, 1e-11);
}

TEST(WaysOfQuenching, CoatOfNoThickness_IsTheBareBlade) {
  const std::string none = "[coat]\ndistance = [\"0 mm\", \"20 mm\"]\nthickness = [\"0 mm\", \"0 mm\"]\n";
  EXPECT_EQ(difference(run_station(quench(oil, none), 0), run_station(quench(oil), 0), times), 0);
}

// Under constant h the coat is a resistance in series, 1/h + d/k, once its own small heat is gone: the plate
// is as if quenched with the smaller h. Thin coat: 0.2 mm of clay holds 0.34 kJ/m2K, a half plate 7 kJ/m2K.
TEST(WaysOfQuenching, EvenCoatUnderConstantH_IsAResistanceInSeries) {
  const std::string coat = "[coat]\ndistance = [\"0 mm\", \"30 mm\"]\nthickness = [\"0.2 mm\", \"0.2 mm\"]\n"
                           "spine = \"0.2 mm\"\nedge = \"0.2 mm\"\n";
  const auto bath = [](double h) {
    return "[bath]\nhtc = \"" + std::to_string(h) +
           " W/(m2 K)\"\ntemperature = \"60 degC\"\ntime = \"30 s\"\n";
  };
  const double h = 1500, series = 1 / (1 / h + 0.2e-3 / 0.8);
  const treatment::Run coated = run_station(quench(bath(h), coat), 0),
                       slower = run_station(quench(bath(series)), 0);
  const auto cooled = [](const treatment::Run& run) {
    const auto& T = run.zones[zone_spine].temperature;
    return last_fall(run.time_s, T, 500, 0, 30);
  };
  // the coat's own heat delays it: 0.34 kJ/m2K over some 600 K against 7.5 kJ/m2K over 300 K is 9 % at most
  EXPECT_GT(cooled(coated) / cooled(slower), 1.0);
  EXPECT_LT(cooled(coated) / cooled(slower), 1.09);
}

TEST(WaysOfQuenching, PlatesOfPerfectContactAndEndlessHeat_ImposeTheirTemperature) {
  const std::string plates = "[bath]\ntemperature = \"60 degC\"\ntime = \"10 s\"\n[bath.plates]\n"
                             "metal = \"copper\"\nthickness = \"25 mm\"\ncontact = \"2e5 W/(m2 K)\"\n";
  Case c = quench(plates);
  c.bath().plates->metal.conductivity_W_mK = 1e6;
  c.bath().plates->metal.density_kg_m3 = 1e7;
  const treatment::Run run = run_station(c, 0);
  Case imposed = quench("[bath]\nhtc = \"2e5 W/(m2 K)\"\ntemperature = \"60 degC\"\ntime = \"10 s\"\n");
  const treatment::Run face = run_station(imposed, 0);
  // the thick end: away from edge and spine faces, which the plates leave in the air
  for (double t : {0.05, 0.1, 0.2, 0.4})
    EXPECT_NEAR(trace_value(run.time_s, run.zones[zone_middle].temperature, t),
                trace_value(face.time_s, face.zones[zone_middle].temperature, t), 3);
}

TEST(WaysOfQuenching, PlatesTakeUpTheHeatTheBladeLoses) {
  const std::string plates = "[bath]\ntemperature = \"20 degC\"\ntime = \"60 s\"\n[bath.plates]\n";
  const treatment::Run run = run_station(quench(plates), 0);
  EXPECT_LT(run.energy_residual, 1e-11);
  // 53 mm2 of steel from 800 to near 40 degC, about 540 kJ/kg (EN 1993-1-2), into two plates of 25 x 30 mm
  const double heat = run.area_m2 * 7800 * 530e3, capacity = 2 * 25e-3 * 30e-3 * 2700 * 900;
  EXPECT_NEAR(treatment::span_of(run, treatment::Part::bath)->bath_end_degC - 20, heat / capacity,
              0.12 * heat / capacity);
}

TEST(WaysOfQuenching, LateWetting_HoldsTheBladeInItsVapour) {
  const treatment::Run late = run_station(quench(oil + "wetting_delay = \"2 s\"\n"), 0),
                       plain = run_station(quench(oil), 0);
  EXPECT_GT(trace_value(late.time_s, late.zones[zone_edge].temperature, 1.5),
            trace_value(plain.time_s, plain.zones[zone_edge].temperature, 1.5) + 20);
  EXPECT_LT(difference(run_station(quench(oil + "wetting_delay = \"0 s\"\n"), 0), plain, times), 1e-9);
}

/// `blades` in a row through 4 L of oil at the room's temperature.
Case row(int blades, const std::string& interval, const std::string& volume = "4 L") {
  return quench(
      "[bath]\ncoolant = \"medium-oil\"\ntemperature = \"40 degC\"\ntime = \"40 s\"\nvolume = \"" + volume +
      "\"\n" +
      (blades > 1 ? "blades = " + std::to_string(blades) + "\ninterval = \"" + interval + "\"\n" : "") +
      "[transfer]\nair = \"40 degC\"\n");
}

TEST(WaysOfQuenching, SecondBladeAtOnce_MeetsTheOilThatTheFirstLeft) {
  const treatment::Run first = run_station(row(1, ""), 0), second = run_station(row(2, "0 s"), 0);
  EXPECT_GT(first.spans[0].bath_end_degC, 41);
  // closed form: T + Q / (rho c V), with all the heat that left the first blade
  const double Q = first.heat_out_J_m.back() - first.heat_out_J_m.front();
  const Case c = row(1, "");
  const auto& oil_of = c.bath().coolant;
  const double C = oil_of.density_kg_m3 * oil_of.specific_heat_J_kgK * 4e-3;
  double in_bath = 0; // up to the end of the bath stage
  in_bath = trace_value(first.time_s, first.heat_out_J_m, first.spans[0].to_s) - first.heat_out_J_m.front();
  EXPECT_LE(in_bath, Q);
  EXPECT_NEAR(first.spans[0].bath_end_degC, 40 + in_bath * c.blade.length_m / C, 1e-6);
  EXPECT_NEAR(second.spans[0].bath_start_degC, first.spans[0].bath_end_degC,
              0.02); // the first is run roughly for it
  EXPECT_GT(second.spans[0].bath_end_degC,
            second.spans[0].bath_start_degC + 0.9 * (first.spans[0].bath_end_degC - 40));
  EXPECT_LT(second.spans[0].bath_end_degC,
            second.spans[0].bath_start_degC + (first.spans[0].bath_end_degC - 40));
}

TEST(WaysOfQuenching, SecondBladeNextDayOrInAnEndlessTank_IsTheFirst) {
  const treatment::Run first = run_station(row(1, ""), 0), next_day = run_station(row(2, "24 h"), 0);
  EXPECT_NEAR(next_day.spans[0].bath_start_degC, 40, 1e-3);
  EXPECT_LT(difference(next_day, first, times), two_runs_K);
  const treatment::Run lake = run_station(row(2, "0 s", "100000 L"), 0),
                       alone = run_station(row(1, "", "large"), 0);
  EXPECT_NEAR(lake.spans[0].bath_start_degC, 40, 1e-3);
  EXPECT_LT(difference(lake, alone, times), two_runs_K);
}

TEST(WaysOfQuenching, RowOfThree_IsThreeQuenchesOneAfterTheOther) {
  const treatment::Run last = run_station(row(3, "0 s"), 0);
  double T = 40;
  for (int blade = 0; blade < 2; ++blade) {
    Case c = row(1, "");
    c.bath().temperature_degC = T;
    T = run_station(c, 0).spans[0].bath_end_degC;
  }
  EXPECT_NEAR(last.spans[0].bath_start_degC, T, 0.05);
}

// A rectangle half in the oil and half in air that takes as much heat: the bath gets half of it.
TEST(WaysOfQuenching, EdgeOnly_WarmsTheBathByTheWetPartAlone) {
  const std::string text = R"case(
format = 1
stages = ["bath"]
[start]
temperature = "800 degC"
[blade]
steel = "tests/unit/treatment/plain_steel.toml"
length = "100 mm"
[[blade.station]]
[blade.station.outline]
x = ["0 mm", "30 mm", "30 mm", "0 mm"]
y = ["1.5 mm", "1.5 mm", "-1.5 mm", "-1.5 mm"]
[surface]
air = 0
[transfer]
air = "60 degC"
convection = "500 W/(m2 K)"
[bath]
coolant = "medium-oil"
htc = "500 W/(m2 K)"
temperature = "60 degC"
volume = "200 L"
immersion = "15 mm"
time = "20 s"
)case";
  const Case c = read_case(text, "half.toml", test::FileRecords());
  const treatment::Run run = run_station(c, 0);
  const double heat = (run.heat_out_J_m.back() - run.heat_out_J_m.front()) * c.blade.length_m;
  const auto& oil_of = c.bath().coolant;
  const double to_bath = (treatment::span_of(run, treatment::Part::bath)->bath_end_degC - 60) *
                         oil_of.density_kg_m3 * oil_of.specific_heat_J_kgK * 0.2;
  EXPECT_NEAR(to_bath / heat, 0.5, 1e-3);
}

// The heat of a back left out of the oil runs into the edge and tempers it: the sum that counts is that of
// the edge's own history, here added up once more from the trace (Hollomon & Jaffe 1945, T (C + log10 t)).
TEST(WaysOfQuenching, EdgeReheatedByItsBack_IsTempered) {
  const treatment::Run run = run_station(
                           quench("[bath]\ncoolant = \"medium-oil\"\nvolume = \"large\"\ntime = \"40 s\"\n"
                                  "immersion = \"12 mm\"\n"),
                           0),
                       kept = run_station(quench(oil), 0);
  const auto edge = static_cast<std::size_t>(run.zone_column[zone_edge]);
  const auto& T = run.zones[zone_edge].temperature;
  const double C = quench(oil).steel.temper.hj_constant_h;
  const double lifted = run.spans[0].to_s;
  double hottest = 0, p = 0;
  for (std::size_t n = 1; n < T.size(); ++n)
    if (run.time_s[n] > lifted) {
      hottest = std::max(hottest, T[n]);
      const double K = 0.5 * (T[n] + T[n - 1]) + 273.15, dt_h = (run.time_s[n] - run.time_s[n - 1]) / 3600;
      const double before_h = p > 0 ? std::pow(10.0, p / K - C) : 0;
      p = K * (C + std::log10(before_h + dt_h));
    }
  EXPECT_GT(hottest, trace_value(run.time_s, T, lifted) + 20);
  EXPECT_GT(run.after_cool.tempering[edge], p * 0.98); // the martensite was warm in the oil already
  EXPECT_LT(run.after_cool.tempering[edge], p * 1.02);
  EXPECT_LT(run.as_quenched_HV[edge], kept.as_quenched_HV[edge] - 10);
}

} // namespace
