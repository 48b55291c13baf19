// How thick a bare plate of each shipped steel may be in each shipped oil: 2 % of its middle turned to
// pearlite and bainite. README.md holds the table beside the thicknesses of the law that was used before
// pearlite and bainite were measured; this test keeps it true and says where they part by more than a
// seventh.
#include "../support/file_records.hpp"
#include "../support/readme_table.hpp"
#include "answers/answers.hpp"
#include "treatment/run.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace {

using namespace tq;
using namespace tq::treatment;

constexpr const char* oils[] = {"fast-oil", "medium-oil", "slow-oil", "vegetable-oil"};

/// Thickness [mm] in the order of `oils` by the law before: progress with the exponent 0.4 of Li et al. 1998,
/// his bainite and Bs, 1095 and 1075 on the critical rate of steel with 0.76 %Mn, W2 a copy of 1095 (computed
/// with the last program that had it, the same plates).
const std::map<std::string, std::vector<double>> before = {
    {"1075", {3.84, 2.15, 1.34, 2.63}},    {"1084", {3.95, 2.23, 1.40, 2.73}},
    {"1095", {3.87, 2.14, 1.33, 2.67}},    {"5160", {14.41, 11.41, 9.82, 13.17}},
    {"52100", {11.73, 8.37, 6.14, 10.17}}, {"75Ni8", {8.21, 6.28, 4.49, 6.67}},
    {"80CrV2", {6.80, 4.64, 3.59, 5.48}},  {"L6", {23.42, 18.04, 19.77, 23.22}},
    {"O1", {15.20, 11.99, 12.92, 14.59}},  {"O2", {21.27, 16.56, 18.74, 21.00}},
    {"W2", {3.77, 2.04, 1.26, 2.59}}};

/// A plate 40 mm wide, or six times its thickness, from the middle of the usual range over 1 s of bright way.
Case plate(const std::string& steel, const std::string& oil) {
  Case c = read_case(
      "format = 1\nstages = [\"transfer\", \"bath\", \"cool\"]\n[start]\ntemperature = \"800 degC\"\n"
      "[blade]\nlength = \"200 mm\"\nsteel = \"" +
          steel +
          "\"\n[[blade.station]]\nwidth = \"40 mm\"\nspine = \"3 mm\"\nedge = \"3 mm\"\n"
          "[transfer]\ntime = \"1 s\"\n[surface]\nair = \"bright\"\n[bath]\ncoolant = \"" +
          oil + "\"\nvolume = \"large\"\n[solver]\nalong = 16\n",
      "plate.toml", test::FileRecords());
  c.start.temperature_degC =
      0.5 * (c.steel.austenitising.hardening_from_degC + c.steel.austenitising.hardening_to_degC);
  return c;
}

/// Share of the middle that turned, worst through the thickness.
double turned(Case c, double thickness_m) {
  section::Profile& profile = c.blade.stations.front().profile;
  const double width_m = std::max(0.040, 6 * thickness_m), wider = width_m / profile.width();
  for (double& x : profile.x)
    x *= wider;
  for (double& x : profile.kinks)
    x *= wider;
  std::fill(profile.top.begin(), profile.top.end(), 0.5 * thickness_m);
  std::fill(profile.bottom.begin(), profile.bottom.end(), -0.5 * thickness_m);
  const Run run = run_station(c, 0);
  double most = 0;
  for (int j = 0; j < run.grid.ny; ++j) {
    const auto n = static_cast<std::size_t>(run.zone_column[zone_middle] + j * run.grid.nx);
    most = std::max(most, run.after_cool.pearlite[n] + run.after_cool.bainite[n]);
  }
  return most;
}

/// Thickness [mm] at which 2 % have turned, to 0.2 %; between 0.3 and 24 mm.
double thickness_mm(const Case& c) {
  const double limit = 0.02;
  double low = std::log(0.3), high = std::log(24.0), f_low = -1, f_high = 1;
  // the share goes with a power of the thickness: chords of logarithms, kept between the ends
  for (int i = 0; i < 40 && high - low > 0.002; ++i) {
    const double way = f_low > -1 && f_high < 1 ? std::clamp(f_low / (f_low - f_high), 0.05, 0.95) : 0.5;
    const double at = low + way * (high - low), share = turned(c, 1e-3 * std::exp(at));
    const double f = std::log(std::max(share, 1e-9) / limit);
    if (f > 0) {
      high = at;
      f_high = std::min(f, 0.999);
    } else {
      low = at;
      f_low = std::max(f, -0.999);
    }
  }
  return std::exp(0.5 * (low + high));
}

TEST(PlateThickness, OfEverySteelAndOil_StandsBesideThatOfTheLawBefore) {
  std::string t = "| Steel | fast oil | medium oil | slow oil | vegetable oil |\n|---|---|---|---|---|\n";
  for (const auto& [steel, old] : before) {
    t += "| " + steel;
    for (std::size_t o = 0; o < old.size(); ++o) {
      const double mm = thickness_mm(plate(steel, oils[o])), moved = mm / old[o] - 1;
      const std::string cell = test::line(" | %.*f mm (%+.0f %%)", mm < 10 ? 2 : 1, mm, 100 * moved);
      t += cell.substr(0, cell.size() - 1);
      // README.md gives the reasons of those that part
      const bool plain = steel == "1075" || steel == "1095" || steel == "W2";
      const double most = plain ? 0.50 : steel == "52100" ? 0.22 : steel == "O1" ? 0.18 : 0.155;
      EXPECT_LT(std::abs(moved), most) << steel << " " << oils[o];
    }
    t += " |\n";
  }
  test::expect_in_readme("tests/validation", t);
}

/// Pearlite [share] in the edge of the 1095 blade that came late to its oil, and its verdict as stated.
std::pair<double, answers::Verdict> late_edge(double factor) {
  Case c = read_case(test::read_file(TQ_SOURCE_DIR "/tests/scenarios/b_slow_transfer.toml").value(),
                     "b_slow_transfer.toml", test::FileRecords());
  c.steel.transformation.pearlite_factor *= factor;
  std::vector<Run> runs;
  const answers::ZoneAnswer edge = answers::answer(c, runs).stations.front().zones[zone_edge];
  return {edge.transformed, edge.hardens.verdict};
}

// No nose of 1095, 1075 and W2 keeps the thickness of the law before and what is known of these steels.
TEST(PlateThickness, OfPlainSteels_CannotStayWhereItWas) {
  struct Row {
    const char* steel;
    double nose_s, record_s, published_to_s; // published start, from memory; 0 = none known
  };
  const Row rows[] = {{"1095", 0.50, 0.59, 0.8}, {"1095", 0.59, 0.59, 0.8}, {"1095", 0.66, 0.59, 0.8},
                      {"1095", 0.80, 0.59, 0.8}, {"1095", 0.87, 0.59, 0.8}, {"1075", 0.62, 0.62, 0.7},
                      {"1075", 0.70, 0.62, 0.7}, {"1075", 0.88, 0.62, 0.7}, {"W2", 0.54, 0.54, 0},
                      {"W2", 0.60, 0.54, 0},     {"W2", 0.90, 0.54, 0}};
  std::string t = "| Steel | Nose of the pearlite | Plate in fast oil | in medium oil | What it meets |\n"
                  "|---|---|---|---|---|\n";
  const double of_1095_mm = thickness_mm(plate("1095", oils[0]));
  for (const Row& row : rows) {
    double moved[2] = {}, mm[2] = {};
    for (std::size_t o = 0; o < 2; ++o) {
      Case c = plate(row.steel, oils[o]);
      c.steel.transformation.pearlite_factor *= row.nose_s / row.record_s;
      mm[o] = thickness_mm(c);
      moved[o] = mm[o] / before.at(row.steel)[o] - 1;
    }
    std::string meets;
    bool known = true;
    if (row.published_to_s > 0) {
      known = row.nose_s <= row.published_to_s;
      meets = known ? "published nose" : "no published nose";
    }
    if (std::string(row.steel) == "1095") {
      const auto [share, verdict] = late_edge(row.nose_s / row.record_s);
      const std::string edge =
          test::line("late scaled blade: edge %s, %.0f %% pearlite", verdict_name(verdict), 100 * share);
      meets += "; " + edge.substr(0, edge.size() - 1);
      known = known && verdict == answers::Verdict::fail;
    }
    if (std::string(row.steel) == "W2") {
      known = mm[0] < of_1095_mm;
      meets = known ? "shallower than 1095" : "deeper than 1095";
    }
    t += test::line("| %s | %.2f s%s | %.2f mm (%+.0f %%) | %.2f mm (%+.0f %%) | %s |", row.steel, row.nose_s,
                    row.nose_s == row.record_s ? " (record)" : "", mm[0], 100 * moved[0], mm[1],
                    100 * moved[1], meets.c_str());
    EXPECT_FALSE(known && std::abs(moved[0]) < 0.15 && std::abs(moved[1]) < 0.15)
        << row.steel << " could keep both at " << row.nose_s << " s";
    EXPECT_TRUE(known || row.nose_s > row.record_s) << row.steel;
  }
  test::expect_in_readme("tests/validation", t);
}

// 52100 and O1: what the measured bainite of 100Cr6 asks for, and what it would take to stay within 15 %.
TEST(PlateThickness, OfBainiticSteels_FollowsTheMeasuredDiagram) {
  struct Row {
    const char* steel;
    double nose_s, record_s, bainite;
    const char* meets;
  };
  const Row rows[] = {
      {"52100", 4.2, 4.2, 1, "published nose (3-6 s) and rate (40-60 K/s), the diagram within 25 %"},
      {"52100", 4.8, 4.2, 1, "the slowest published rate, 40 K/s"},
      {"52100", 4.2, 4.2, 1.25,
       "bainite up to 1.6 times as late as measured at its start, 2 times at its end"},
      {"52100", 4.8, 4.2, 1.25, "both"},
      {"O1", 9.9, 9.9, 1, "the law of 100Cr6, nothing of its own"},
      {"O1", 9.9, 9.9, 0.9, "a tenth for which no source is known"}};
  std::string t =
      "| Steel | Nose of the pearlite | Bainite, times | fast oil | medium oil | slow oil | What it meets "
      "|\n|---|---|---|---|---|---|---|\n";
  for (const Row& row : rows) {
    t += test::line("| %s | %.1f s | %.2f", row.steel, row.nose_s, row.bainite);
    t.pop_back();
    double most = 0;
    for (std::size_t o = 0; o < 3; ++o) {
      Case c = plate(row.steel, oils[o]);
      c.steel.transformation.pearlite_factor *= row.nose_s / row.record_s;
      c.steel.transformation.bainite_factor *= row.bainite;
      const double moved = thickness_mm(c) / before.at(row.steel)[o] - 1;
      most = std::max(most, std::abs(moved));
      t += test::line(" | %+.0f %%", 100 * moved);
      t.pop_back();
    }
    t += " | " + std::string(row.meets) + " |\n";
    const bool moves_both = row.nose_s > row.record_s && row.bainite > 1;
    EXPECT_EQ(most < 0.15, moves_both || row.bainite < 1)
        << row.steel << " " << row.nose_s << " " << row.bainite;
  }
  test::expect_in_readme("tests/validation", t);
}

} // namespace
