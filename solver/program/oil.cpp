// An oil record from what a test of the oil says: figures of a data sheet, a measured curve, the seconds of
// the nickel ball, or a lumped table.
#include "output/files/files.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/cooling_curve.hpp"
#include "program/material_library.hpp"
#include "program/values.hpp"
#include "records/read_coolant.hpp"
#include "records/read_probe.hpp"
#include "surroundings/oil_record.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <limits>
#include <sstream>

namespace tq::program {
namespace {

using output::formatted;
using output::padded;
using output::page_width;
using records::InputError;
using surroundings::DoubtedProbe;
using surroundings::Printed;
using surroundings::RecoveredHtc;

// A printed number stands for all that round to it: half a unit of its last place, of a fraction half a unit
// of its denominator.
Printed printed(const std::string& option, const std::string& text, const char* dimension,
                records::Range range) {
  if (text.empty())
    return {};
  const double value =
      value_of(option, text, dimension, range, std::string_view(dimension) == "heating_rate" ? "K/s" : "");
  const std::size_t last = text.find_last_of("0123456789");
  const std::string number = text.substr(0, last + 1), unit = text.substr(last + 1);
  const std::size_t stroke = number.find('/'), point = number.find('.');
  const double place =
      stroke != std::string::npos ? 1 / units::parse_number(number.substr(stroke + 1))
      : point == std::string::npos
          ? 1.0
          : math::pow(10.0, -static_cast<double>(number.find_first_not_of("0123456789", point + 1) ==
                                                         std::string::npos
                                                     ? number.size() - point - 1
                                                     : 0));
  const bool temperature = std::string(dimension) == "temperature";
  return {value, value_of(option, units::format_number(0.5 * place) + unit,
                          temperature ? "temperature_difference" : dimension)};
}

records::ProbeRecord probe_record(const std::filesystem::path& materials, const std::string& key) {
  const bool own = treatment::is_record_path(key);
  const std::filesystem::path file =
      own ? std::filesystem::path(key) : materials / "probes" / (key + ".toml");
  std::error_code none;
  if (!std::filesystem::is_regular_file(file, none))
    throw InputError(
        own ? key + ": no such record"
            : "--material: nothing is called '" + key +
                  "'; allowed: alloy_600, austenitic_stainless, or the path of a record like those "
                  "in materials/probes");
  return records::read_probe(read_case_text(file.string()), file.string());
}

/// "plate 6 mm", "cylinder 1/2 in"
records::ProbeBody coupon_of(const std::string& text) {
  const std::size_t blank = text.find(' ');
  const std::string word = text.substr(0, blank);
  if (blank == std::string::npos || (word != "plate" && word != "cylinder" && word != "sphere"))
    throw UsageError("--coupon: '" + text +
                     "'; write plate, cylinder or sphere and its thickness or diameter, "
                     "for example 'plate 6 mm'");
  records::ProbeBody body;
  body.shape = word == "plate"      ? records::BodyShape::plate
               : word == "cylinder" ? records::BodyShape::cylinder
                                    : records::BodyShape::sphere;
  body.thickness_m = value_of("--coupon", text.substr(blank + 1), "length", {1e-3, 0.1});
  return body;
}

double number_of_tests(const std::string& text) {
  constexpr double most = 1000;
  try {
    const double tests = units::parse_number(text);
    if (tests >= 1 && tests <= most && tests == std::floor(tests))
      return tests;
  } catch (const units::QuantityError&) {
    // said below
  }
  throw UsageError("--tests: '" + text + "'; allowed: a whole number from 1 to 1000");
}

void print_folded(const std::string& first, const std::string& text) {
  std::string label = first;
  for (const std::string& line : output::folded(text, page_width - first.size())) {
    std::cout << label << line << "\n";
    label.assign(first.size(), ' ');
  }
}

struct FigureRow {
  std::string name, given;
  double found;
  const char* pattern;
};

void print_figures(const std::vector<FigureRow>& rows) {
  std::cout << "\n  " << padded("figure", 34) << padded("given", 14) << "of the table\n";
  for (const FigureRow& row : rows)
    if (!std::isnan(row.found))
      std::cout << "  " << padded(row.name, 34) << padded(row.given.empty() ? "-" : row.given, 14)
                << formatted(row.pattern, row.found) << "\n";
}

void print_table(const RecoveredHtc& r) {
  const records::Table middle = r.table(), low{r.surface_degC, r.low_W_m2K, records::Interpolation::log},
                       high{r.surface_degC, r.high_W_m2K, records::Interpolation::log};
  std::cout << "\n  " << padded("surface", 24) << padded("h, W/(m2 K)", 14)
            << "90 % of the curves that fit lie between\n";
  for (double T = 100; T <= 850; T += 50)
    if (T > r.bath_degC)
      std::cout << "  " << padded(output::temperature_text(T), 24) << padded(formatted("%.0f", middle(T)), 14)
                << formatted("%.0f and %.0f", low(T), high(T)) << "\n";
}

surroundings::SheetReadings sheet_of(const OilOptions& o) {
  // What any oil can show on these tests, with room to either side: from air at rest (about 5 K/s, a minute
  // and a half to 200 degC) to brine (about 300 K/s). Common knowledge of cooling curves, no source.
  constexpr records::Range rate{5, 400}, rate_300{0.5, 300}, to_600{0.5, 60}, to_400{1, 120}, to_200{1, 400},
      of_ball{2, 120};

  surroundings::SheetReadings sheet;
  sheet.max_rate_K_s = printed("--max-rate", o.max_rate, "heating_rate", rate);
  sheet.max_rate_degC = printed("--at", o.at, "temperature", {300, 850});
  sheet.rate_300_K_s = printed("--rate-300", o.rate_300, "heating_rate", rate_300);
  sheet.to_600_s = printed("--time-600", o.time_600, "time", to_600);
  sheet.to_400_s = printed("--time-400", o.time_400, "time", to_400);
  sheet.to_200_s = printed("--time-200", o.time_200, "time", to_200);
  sheet.ball_s = printed("--ball", o.ball, "time", of_ball);
  return sheet;
}

/// What is made of the options, one test of an oil.
class OilTest {
 public:
  OilTest(const OilOptions& options, std::filesystem::path materials)
      : o_(options), materials_(std::move(materials)), sheet_(sheet_of(options)) {
    check_options();
    read_facts();
    read_bath();
  }

  void recover() {
    if (any_figure())
      recover_figures();
    else
      recover_readings();
    assumed_.push_back("density, specific heat, effect of bath temperature and agitation as " +
                       facts_.like.key);
    facts_.name = o_.name.empty() ? std::filesystem::path(o_.out).stem().string() : o_.name;
    facts_.description = "Recovered from a test of this oil; still bath at " +
                         units::format_quantity(bath_degC_, "temperature") + ".";
    facts_.source = "recovered by thinquench oil from " + test_;
    facts_.range = formatted("%.0f to 900 degC surface, still bath at %.0f degC; end values held outside",
                             bath_degC_, bath_degC_);
  }

  void write() const {
    const std::string text = surroundings::oil_record_text(found_, facts_);
    records::read_coolant(text, o_.out); // what is written can be read
    output::PendingFile file{std::filesystem::path(o_.out)};
    file.write(text);
    file.commit();
  }

  void print() const;

 private:
  bool curve_figure() const {
    const surroundings::SheetReadings& sheet = sheet_;
    return sheet.max_rate_K_s.given() || sheet.max_rate_degC.given() || sheet.rate_300_K_s.given() ||
           sheet.to_600_s.given() || sheet.to_400_s.given() || sheet.to_200_s.given();
  }
  bool any_figure() const { return curve_figure() || sheet_.ball_s.given(); }
  std::vector<FigureRow> rows() const;
  void check_options();
  void read_facts();
  void read_bath();
  void recover_figures();
  surroundings::TraceReadings read_curve(DoubtedProbe& probe);
  void check_fall(const surroundings::TraceReadings& readings, double start_degC);
  void recover_readings();

  const OilOptions& o_;
  std::filesystem::path materials_;
  surroundings::SheetReadings sheet_;
  surroundings::OilFacts facts_;
  std::optional<records::CoolantRecord> lumped_;
  double bath_degC_ = 60;
  double coldest_degC_ = -std::numeric_limits<double>::infinity(); ///< of a measured curve
  std::vector<std::string> assumed_;
  std::string test_;
  RecoveredHtc found_;
};

void OilTest::check_options() {
  const surroundings::SheetReadings& sheet = sheet_;
  const int ways = (any_figure() ? 1 : 0) + (o_.trace.empty() ? 0 : 1) + (o_.lumped.empty() ? 0 : 1);
  if (ways == 0)
    throw UsageError(
        "oil: nothing is known of the oil; give figures of its sheet (--max-rate, --at, --rate-300, "
        "--time-600, --time-400, --time-200, --ball), --trace or --lumped");
  if (ways > 1)
    throw UsageError(
        "oil: give figures of the sheet, or --trace, or --lumped; one record comes from one test");
  if (sheet.to_600_s.given() && sheet.to_400_s.given() && sheet.to_600_s.value >= sheet.to_400_s.value)
    throw UsageError("--time-400: must be longer than --time-600");
  if (sheet.to_400_s.given() && sheet.to_200_s.given() && sheet.to_400_s.value >= sheet.to_200_s.value)
    throw UsageError("--time-200: must be longer than --time-400");
  for (const auto& [option, text] : {std::pair<const char*, const std::string&>{"--coupon", o_.coupon},
                                     {"--start", o_.start},
                                     {"--lag", o_.lag},
                                     {"--material", o_.material},
                                     {"--immersed", o_.immersed}})
    if (!text.empty() && o_.trace.empty())
      throw UsageError(std::string(option) + ": belongs to --trace");
  if (!o_.tests.empty()) {
    if (!curve_figure())
      throw UsageError("--tests: belongs to the figures of a sheet");
    sheet_.tests = number_of_tests(o_.tests);
  }
  if (o_.out.empty())
    throw UsageError("oil: --out is needed, the file for the record");
  if (std::filesystem::path(o_.out).extension() != ".toml")
    throw UsageError("--out: '" + o_.out + "' does not end in .toml, as a record's name does");
  require_file("--out", o_.out);
}

void OilTest::read_facts() {
  const MaterialLibrary library(materials_, {});
  const std::string like = o_.like.empty() ? "medium-oil" : o_.like;
  const auto like_text = treatment::is_record_path(like)
                             ? library.at_path(treatment::RecordKind::coolant, like)
                             : library.shipped(treatment::RecordKind::coolant, like);
  if (!like_text)
    throw UsageError("--like: no coolant is called '" + like + "' (see thinquench stock coolants)");
  facts_.like = records::read_coolant(like_text->text, like_text->file);
  if (facts_.like.kind != records::CoolantKind::oil)
    throw UsageError("--like: '" + like + "' is no oil");
  if (!o_.flash.empty())
    facts_.flash_degC = value_of("--flash", o_.flash, "temperature", {20, 600});
}

void OilTest::read_bath() {
  if (!o_.lumped.empty()) {
    lumped_ = records::read_coolant(read_case_text(o_.lumped), o_.lumped);
    if (lumped_->htc_kind != records::HtcKind::lumped || lumped_->htc_W_m2K.empty())
      throw InputError(o_.lumped + ": heat_transfer.kind: is not \"lumped\"; there is nothing to convert");
  }
  bath_degC_ = lumped_ ? lumped_->table_bath_degC : 60;
  if (!o_.bath.empty()) {
    if (lumped_)
      throw UsageError("--bath: the lumped record says its own");
    bath_degC_ = value_of("--bath", o_.bath, "temperature", {0, 200});
  } else if (!lumped_) {
    assumed_.push_back(sheet_.ball_s.given() && o_.trace.empty()
                           ? "bath of the sheet at 60 degC; the ball's test at 27 degC (ASTM D3520)"
                           : "bath of the test at 60 degC");
  }
}

void OilTest::recover_figures() {
  const records::ProbeRecord alloy = probe_record(materials_, "alloy_600");
  const DoubtedProbe standard = surroundings::make_doubted_probe(alloy, *alloy.body);
  const records::ProbeRecord nickel = probe_record(materials_, "nickel_ball");
  const DoubtedProbe ball = surroundings::make_doubted_probe(nickel, *nickel.body);
  try {
    found_ = recover_from_sheet(standard, ball, bath_degC_, sheet_);
  } catch (const std::invalid_argument& error) {
    throw UsageError(std::string("oil: ") + error.what());
  }
  if (curve_figure() && o_.tests.empty())
    assumed_.push_back(formatted("the sheet's figures are means of %.0f tests", sheet_.tests));
  assumed_.push_back("probe of ISO 9950 / ASTM D6200: alloy 600, 12.5 mm, from 850 degC, still bath");
  assumed_.push_back(formatted("thermocouple lag of %.2f s +/- %.2f s left in the figures",
                               standard.probe.sensor_lag_s, standard.sensor_lag_spread_s));
  std::string figures;
  for (const auto& [name, text] : {std::pair<const char*, const std::string&>{"largest rate ", o_.max_rate},
                                   {"at ", o_.at},
                                   {"at 300 degC ", o_.rate_300},
                                   {"to 600 degC ", o_.time_600},
                                   {"to 400 degC ", o_.time_400},
                                   {"to 200 degC ", o_.time_200},
                                   {"nickel ball ", o_.ball}})
    if (!text.empty())
      figures += (figures.empty() ? "" : ", ") + (name + text);
  test_ = "figures of a cooling-curve test (ISO 9950 / ASTM D6200): " + figures;
  facts_.note = "The curve is one of many with these figures; low and high are the band of the others.";
}

/// A curve that no bath of that temperature can have given, or that shows nothing of it, is refused.
void OilTest::check_fall(const surroundings::TraceReadings& readings, double start_degC) {
  // What a thermocouple and a stirred bath may be off together; common practice, no source.
  constexpr double off_K = 10, least_fall_K = 100;
  coldest_degC_ = *std::min_element(readings.sensor_degC.begin(), readings.sensor_degC.end());
  if (coldest_degC_ < bath_degC_ - off_K)
    throw InputError(o_.trace + formatted(": falls to %.0f degC, below the bath of %.0f degC; --bath is the "
                                          "temperature that the oil had",
                                          coldest_degC_, bath_degC_));
  if (start_degC - coldest_degC_ < least_fall_K)
    throw InputError(o_.trace + formatted(": cools by %.0f K in all; allowed: %.0f K and more, else it tells "
                                          "nothing of the oil",
                                          std::max(0.0, start_degC - coldest_degC_), least_fall_K));
}

/// A measured curve; `probe` is the standard one and becomes what was quenched.
surroundings::TraceReadings OilTest::read_curve(DoubtedProbe& probe) {
  constexpr records::Range hot{100, 1200};
  const DoubtedProbe standard = probe;
  const records::ProbeRecord alloy = probe_record(materials_, "alloy_600");
  const double immersed_s = o_.immersed.empty() ? 0 : value_of("--immersed", o_.immersed, "time", {0, 36000});
  if (o_.immersed.empty())
    assumed_.push_back("immersed at time 0 of the file");
  surroundings::TraceReadings readings = read_trace(read_case_text(o_.trace), o_.trace, immersed_s);
  records::ProbeRecord material = alloy;
  records::ProbeBody body = *alloy.body;
  if (!o_.coupon.empty()) {
    material = probe_record(materials_, o_.material.empty() ? "austenitic_stainless" : o_.material);
    body = coupon_of(o_.coupon);
    if (o_.material.empty())
      assumed_.push_back(
          "coupon of austenitic stainless steel (a coupon that transforms gives its own heat)");
  } else if (!o_.material.empty()) {
    throw UsageError("--material: belongs to --coupon");
  }
  const double start = readings.sensor_degC.front();
  body.start_degC = o_.start.empty() ? start : value_of("--start", o_.start, "temperature", hot);
  if (o_.start.empty())
    assumed_.push_back(formatted("start at %.0f degC, the first reading", start));
  if (body.start_degC < bath_degC_ + 100)
    throw InputError(o_.trace + ": starts at " + formatted("%.0f", body.start_degC) +
                     " degC; allowed: 100 K above the bath and more");
  check_fall(readings, body.start_degC);
  probe = surroundings::make_doubted_probe(material, body);
  if (!o_.lag.empty()) {
    probe.probe.sensor_lag_s = value_of("--lag", o_.lag, "time", {0, 10});
    probe.sensor_lag_spread_s = 0.25 * probe.probe.sensor_lag_s;
  } else if (!o_.coupon.empty()) {
    probe.probe.sensor_lag_s = standard.probe.sensor_lag_s;
    probe.sensor_lag_spread_s = 2 * standard.sensor_lag_spread_s;
  }
  if (o_.lag.empty())
    assumed_.push_back(formatted("thermocouple lag of %.2f s +/- %.2f s", probe.probe.sensor_lag_s,
                                 probe.sensor_lag_spread_s));
  // The end that has settled at the bath says nothing of h.
  while (readings.sensor_degC.size() > 20 && readings.sensor_degC.back() < bath_degC_ + 10) {
    readings.time_s.pop_back();
    readings.sensor_degC.pop_back();
  }
  test_ =
      "measured curve " + std::filesystem::path(o_.trace).filename().string() + ", " +
      (o_.coupon.empty() ? "alloy 600 probe of 12.5 mm" : "coupon, " + o_.coupon + ", of " + material.name) +
      formatted(", from %.0f degC", body.start_degC);
  return readings;
}

void OilTest::recover_readings() {
  const records::ProbeRecord alloy = probe_record(materials_, "alloy_600");
  DoubtedProbe probe = surroundings::make_doubted_probe(alloy, *alloy.body);
  surroundings::TraceReadings readings;
  if (lumped_) {
    readings = surroundings::curve_of_lumped(probe.probe, lumped_->htc_W_m2K, bath_degC_);
    readings.least_noise_K = 1.0;
    test_ = "lumped table of " + o_.lumped + ", taken back to the curve of the probe's centre";
    assumed_.push_back("the lumped table was made with the alloy 600 probe of 12.5 mm from 850 degC");
  } else {
    readings = read_curve(probe);
  }
  try {
    found_ = recover_from_trace(probe, bath_degC_, readings);
  } catch (const std::invalid_argument& error) {
    throw InputError((o_.trace.empty() ? o_.lumped : o_.trace) + ": " + error.what());
  }
  facts_.note = formatted("Noise of the readings %.2f K, rms of measured less computed %.2f K.",
                          found_.noise_K, found_.misfit_K);
}

std::vector<FigureRow> OilTest::rows() const {
  return {{"largest cooling rate, K/s", o_.max_rate, found_.figures.max_rate_K_s, "%.1f"},
          {"at, degC", o_.at, found_.figures.max_rate_degC, "%.0f"},
          {"cooling rate at 300 degC, K/s", o_.rate_300, found_.figures.rate_300_K_s, "%.1f"},
          {"time to 600 degC, s", o_.time_600, found_.figures.to_600_s, "%.1f"},
          {"time to 400 degC, s", o_.time_400, found_.figures.to_400_s, "%.1f"},
          {"time to 200 degC, s", o_.time_200, found_.figures.to_200_s, "%.1f"},
          {"nickel ball, s", o_.ball, found_.ball_s, "%.1f"}};
}

void OilTest::print() const {
  std::cout << facts_.name << "\n";
  print_folded("  ", "from " + test_);
  print_folded("  ",
               "The table is LOCAL: h of the surface over the temperature of the surface. Tables printed as "
               "\"effective\" or \"lumped\" are another thing, about half of it at the peak.");
  print_table(found_);
  if (o_.coupon.empty())
    print_figures(rows());
  if (!std::isnan(found_.misfit_K))
    print_folded("\n  ",
                 formatted("readings: noise %.2f K, measured less computed %.2f K rms; thermocouple lag "
                           "found %.2f s",
                           found_.noise_K, found_.misfit_K, found_.sensor_lag_s));
  std::cout << "\nNot told, so assumed\n";
  for (const std::string& line : assumed_)
    print_folded("  - ", line);
  std::cout << "\nCautions\n";
  if (!facts_.flash_degC)
    print_folded("  ! ",
                 "The flash point is not known: ask the seller before the oil is warmed, stay at least "
                 "28 K (50 degF) below it (29 CFR 1910.126), and write it into the record.");
  else
    print_folded("  ! ",
                 formatted("Never let the oil pass %.0f degC, 28 K (50 degF) below its flash point (29 "
                           "CFR 1910.126); used or dirty oil flashes lower.",
                           std::floor(*facts_.flash_degC - 28)));
  print_folded("  ! ",
               "Such a test is made without agitation, on clean alloy 600: another surface, an oxide or a "
               "stirred bath differ by 20-30 % and more. Prove it on a coupon of your bar.");
  // Where the last reading is still this far above the bath, the next points of the table are no longer seen.
  constexpr double unseen_K = 60;
  if (coldest_degC_ > bath_degC_ + unseen_K)
    print_folded("  ! ",
                 formatted("The curve ends at %.0f degC: what the table says below is what such baths "
                           "usually do, not what was measured.",
                           coldest_degC_));
  if (!std::isnan(found_.misfit_K) && found_.misfit_K > 3 * std::max(found_.noise_K, 0.5))
    print_folded("  ! ",
                 "The computed curve misses the readings by more than their noise: wrong size, material, "
                 "start, immersion time or bath, or a front of boiling that crept along the piece. Do not "
                 "trust the band.");
  std::cout << "\nFile written\n  " << o_.out << "\n  a case uses it with  coolant = \"" << o_.out << "\"\n";
}

} // namespace

void oil(const Options& options) {
  OilTest test(options.oil, find_materials(options.materials));
  test.recover();
  test.write();
  if (!options.quiet)
    test.print();
}

} // namespace tq::program
