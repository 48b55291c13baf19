// An oil record from a test of the oil: what is written, that a case can use it, what is refused.
#include "run_command.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

using tq::test::Outcome;
using tq::test::read_file;
using tq::test::run_command;
using tq::test::TemporaryFolder;
using tq::test::write_file;

namespace {

Outcome thinquench(const TemporaryFolder& folder, std::vector<std::string> arguments) {
  return tq::test::thinquench(std::move(arguments), {}, folder.path());
}

void expect_refused(const TemporaryFolder& folder, std::vector<std::string> arguments,
                    const std::string& part) {
  arguments.insert(arguments.begin(), "oil");
  tq::test::expect_refused(thinquench(folder, arguments), part);
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "oil.toml"));
}

} // namespace

TEST(Oil, FromASheet_WritesARecordThatACaseUses) {
  const TemporaryFolder folder;
  const Outcome made = thinquench(folder, {"oil", "--max-rate", "79 K/s", "--at", "573 degC", "--time-600",
                                           "9.0 s", "--time-400", "13.2 s", "--out", "oil.toml"});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  for (const char* part : {"LOCAL", "79.", "13.2", "flash point is not known", "bath of the test at 60 degC",
                           "means of 3 tests", "File written"})
    EXPECT_NE(made.out.find(part), std::string::npos) << part << "\n" << made.out;
  const std::string record = read_file(folder.path() / "oil.toml");
  for (const char* part :
       {"kind = \"local\"", "low = [", "high = [", "largest rate 79 K/s", "[by_agitation]"})
    EXPECT_NE(record.find(part), std::string::npos) << part;
  EXPECT_EQ(record.find("\n[flash]"), std::string::npos);

  write_file(
      folder.path() / "case.toml",
      "format = 1\n[blade]\nsteel = \"O1\"\nlength = \"110 mm\"\n[[blade.station]]\nwidth = \"30 mm\"\n"
      "spine = \"3.2 mm\"\nedge = \"0.5 mm\"\n[bath]\ncoolant = \"oil.toml\"\n[temper]\noven = \"205 "
      "degC\"\n");
  const Outcome checked = thinquench(folder, {"check", "case.toml"});
  EXPECT_EQ(checked.exit_code, 0) << checked.err;
}

TEST(Oil, FromACurve_FindsAConstantCoefficient) {
  // A plate of stainless steel thin enough to be nearly lumped (Biot number 0.03), h 400 W/(m2 K), properties
  // of the shipped record at each temperature; Euler steps of 5 ms.
  const TemporaryFolder folder;
  std::string log = "time_s,temperature_degC\n";
  double T = 800;
  for (int n = 0; n < 4000 && T > 150; ++n) {
    if (n % 20 == 0) {
      char line[64];
      std::snprintf(line, sizeof line, "%.2f,%.2f\n", n * 0.005, T + 0.2 * std::sin(12.9898 * n));
      log += line;
    }
    const double c = 450 + 0.28 * T - 2.91e-4 * T * T + 1.34e-7 * T * T * T;
    T -= 0.005 * 400 * (T - 40) / (7950 * 1.0e-3 * c);
  }
  write_file(folder.path() / "log.csv", log);
  const Outcome made = thinquench(folder, {"oil", "--trace", "log.csv", "--coupon", "plate 2 mm", "--bath",
                                           "40 degC", "--lag", "0 s", "--out", "oil.toml"});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  const auto h_at = [&](const std::string& row) {
    const std::size_t at = made.out.find("\n  " + row);
    return at == std::string::npos ? 0.0 : std::stod(made.out.substr(at + 3 + 24));
  };
  // 3 % by the lumped step, some by the noise.
  EXPECT_NEAR(h_at("300 degC"), 400, 24) << made.out;
  EXPECT_NEAR(h_at("500 degC"), 400, 24);
  EXPECT_NEAR(h_at("600 degC"), 400, 24);
}

TEST(Oil, BadInput_IsOneLineAndWritesNothing) {
  const TemporaryFolder folder;
  write_file(folder.path() / "short.csv", "time_s,temperature_degC\n0,850\n1,800\n");
  write_file(folder.path() / "nocolumn.csv", "t,T\n0,850\n");
  write_file(folder.path() / "back.csv", "time_s,temperature_degC\n0,850\n0,840\n");
  expect_refused(folder, {"--out", "oil.toml"}, "nothing is known of the oil");
  expect_refused(folder, {"--ball", "12 s"}, "--out");
  expect_refused(folder, {"--ball", "12 s", "--out", "oil.txt"}, ".toml");
  expect_refused(folder, {"--ball", "12 K", "--out", "oil.toml"}, "--ball");
  expect_refused(folder, {"--max-rate", "-3 K/s", "--out", "oil.toml"}, "out of range");
  expect_refused(folder, {"--time-600", "9 s", "--time-400", "8 s", "--out", "oil.toml"}, "--time-400");
  expect_refused(folder, {"--ball", "12 s", "--trace", "short.csv", "--out", "oil.toml"}, "one test");
  expect_refused(folder, {"--ball", "12 s", "--like", "water", "--out", "oil.toml"}, "no oil");
  expect_refused(folder, {"--ball", "12 s", "--coupon", "plate 6 mm", "--out", "oil.toml"}, "--trace");
  expect_refused(folder, {"--ball", "12 s", "--tests", "2", "--out", "oil.toml"}, "figures of a sheet");
  for (const char* tests : {"0", "1.5", "-2", "two", "1e9"})
    expect_refused(folder, {"--time-600", "9 s", "--tests", tests, "--out", "oil.toml"}, "1 to 1000");
  expect_refused(folder, {"--trace", "short.csv", "--out", "oil.toml"}, "2 readings");
  expect_refused(folder, {"--trace", "nocolumn.csv", "--out", "oil.toml"}, "no column of time");
  expect_refused(folder, {"--trace", "back.csv", "--out", "oil.toml"}, "back.csv:3");
  expect_refused(folder, {"--trace", "short.csv", "--coupon", "ring 6 mm", "--out", "oil.toml"}, "readings");
  expect_refused(folder,
                 {"--lumped", TQ_SOURCE_DIR "/materials/coolants/medium-oil.toml", "--out", "oil.toml"},
                 "nothing to convert");
}

TEST(Oil, LumpedTable_BecomesALocalOneOfAHigherPeak) {
  const TemporaryFolder folder;
  const Outcome made =
      thinquench(folder, {"oil", "--lumped", TQ_SOURCE_DIR "/tests/malformed/records/oil_lumped.toml",
                          "--out", "oil.toml"});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  EXPECT_NE(made.out.find("from lumped table"), std::string::npos) << made.out;
  const std::size_t at = made.out.find("\n  500 degC");
  ASSERT_NE(at, std::string::npos);
  EXPECT_GT(std::stod(made.out.substr(at + 27)), 1.3 * 2700); // 2700 is the peak of the lumped table
}

// The largest rate and its place belong to oils that exist, but to different ones.
TEST(Oil, FiguresThatNoCurveHasTogether_AreRefused) {
  const TemporaryFolder folder;
  expect_refused(folder, {"--max-rate", "380 K/s", "--at", "573 degC", "--out", "oil.toml"},
                 "no boiling curve has these figures together");
}

TEST(Oil, FiguresThatNoOilHas_AreRefusedAtOnce) {
  const TemporaryFolder folder;
  expect_refused(folder, {"--max-rate", "790 K/s", "--at", "573 degC", "--out", "oil.toml"}, "--max-rate");
  expect_refused(folder, {"--max-rate", "1 K/s", "--out", "oil.toml"}, "allowed: 5 K/s to 400 K/s");
  expect_refused(folder, {"--time-200", "599 s", "--out", "oil.toml"}, "--time-200");
}

TEST(Oil, FractionOfASecond_IsANumber) {
  const TemporaryFolder folder;
  const Outcome made = thinquench(folder, {"oil", "--ball", "25/2 s", "--out", "oil.toml", "-q"});
  EXPECT_EQ(made.exit_code, 0) << made.err;
}

// Curves of 0.5 s readings that no bath of this temperature can have given, or in which no quench is.
TEST(Oil, CurveBelowTheBathOrWithoutAQuench_IsRefused) {
  const TemporaryFolder folder;
  std::string below = "time_s,temperature_degC\n", flat = below;
  for (int n = 0; n < 25; ++n) {
    char line[64];
    std::snprintf(line, sizeof line, "%.1f,%.2f\n", 0.5 * n, -40 + 850 * std::exp(-0.9 * n));
    below += line;
    std::snprintf(line, sizeof line, "%.1f,850\n", 0.5 * n);
    flat += line;
  }
  write_file(folder.path() / "below.csv", below);
  write_file(folder.path() / "flat.csv", flat);
  expect_refused(folder, {"--trace", "below.csv", "--bath", "60 degC", "--out", "oil.toml"},
                 "below.csv: falls to -40 degC, below the bath of 60 degC");
  expect_refused(folder, {"--trace", "flat.csv", "--out", "oil.toml"}, "flat.csv: cools by 0 K in all");
}

// A logger that ran half a minute before the probe went in: no curve of the family can be that slow, and that
// is said.
TEST(Oil, CurveThatBeginsLongBeforeImmersion_IsRefusedOrRecovered) {
  const TemporaryFolder folder;
  std::string log = "time_s,temperature_degC\n";
  for (int n = 0; n < 600; ++n) {
    const double t = 0.1 * n;
    char line[64];
    std::snprintf(line, sizeof line, "%.1f,%.2f\n", t,
                  t < 30 ? 850.0 : 60 + 790 * std::exp(-0.15 * (t - 30)));
    log += line;
  }
  write_file(folder.path() / "log.csv", log);
  const Outcome raw = thinquench(folder, {"oil", "--trace", "log.csv", "--out", "oil.toml", "-q"});
  EXPECT_TRUE(raw.exit_code == 0 || raw.exit_code == 2) << raw.exit_code << raw.err;
  const Outcome told =
      thinquench(folder, {"oil", "--trace", "log.csv", "--immersed", "30 s", "--out", "oil.toml", "-q"});
  EXPECT_EQ(told.exit_code, 0) << told.err;
}
