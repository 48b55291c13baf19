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
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <sstream>

namespace tq::program {
namespace {

using output::formatted;
using output::padded;
using records::InputError;
using surroundings::DoubtedProbe;
using surroundings::Printed;
using surroundings::RecoveredHtc;

constexpr std::size_t page_width = 100;

// A printed number stands for all that round to it: half a unit of its last place, of a fraction half a unit
// of its denominator.
Printed printed(const std::string& option, const std::string& text, const char* dimension,
                records::Range range) {
  if (text.empty())
    return {};
  const double value = value_of(option, text, dimension, range);
  const std::size_t last = text.find_last_of("0123456789");
  const std::string number = text.substr(0, last + 1), unit = text.substr(last + 1);
  const std::size_t stroke = number.find('/'), point = number.find('.');
  const double place =
      stroke != std::string::npos ? 1 / units::parse_number(number.substr(stroke + 1))
      : point == std::string::npos
          ? 1.0
          : std::pow(10.0, -static_cast<double>(number.find_first_not_of("0123456789", point + 1) ==
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

} // namespace

void oil(const Options& options) {
  const OilOptions& o = options.oil;
  const std::filesystem::path materials = find_materials(options.materials);
  constexpr records::Range hot{100, 1200};
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
  const bool curve_figure = sheet.max_rate_K_s.given() || sheet.max_rate_degC.given() ||
                            sheet.rate_300_K_s.given() || sheet.to_600_s.given() || sheet.to_400_s.given() ||
                            sheet.to_200_s.given();
  const bool any_figure = curve_figure || sheet.ball_s.given();
  const int ways = (any_figure ? 1 : 0) + (o.trace.empty() ? 0 : 1) + (o.lumped.empty() ? 0 : 1);
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
  for (const auto& [option, text] : {std::pair<const char*, const std::string&>{"--coupon", o.coupon},
                                     {"--start", o.start},
                                     {"--lag", o.lag},
                                     {"--material", o.material},
                                     {"--immersed", o.immersed}})
    if (!text.empty() && o.trace.empty())
      throw UsageError(std::string(option) + ": belongs to --trace");
  if (!o.tests.empty()) {
    if (!curve_figure)
      throw UsageError("--tests: belongs to the figures of a sheet");
    sheet.tests = number_of_tests(o.tests);
  }
  if (o.out.empty())
    throw UsageError("oil: --out is needed, the file for the record");
  if (std::filesystem::path(o.out).extension() != ".toml")
    throw UsageError("--out: '" + o.out + "' does not end in .toml, as a record's name does");
  require_writable("--out", std::filesystem::path(o.out).parent_path());
  if (std::error_code none; std::filesystem::is_directory(o.out, none))
    throw UsageError("--out: '" + o.out + "' is a folder");

  std::vector<std::string> assumed;
  surroundings::OilFacts facts;
  const MaterialLibrary library(materials, {});
  const std::string like = o.like.empty() ? "medium-oil" : o.like;
  const auto like_text = treatment::is_record_path(like)
                             ? library.at_path(treatment::RecordKind::coolant, like)
                             : library.shipped(treatment::RecordKind::coolant, like);
  if (!like_text)
    throw UsageError("--like: no coolant is called '" + like + "' (see thinquench stock coolants)");
  facts.like = records::read_coolant(like_text->text, like_text->file);
  if (facts.like.kind != records::CoolantKind::oil)
    throw UsageError("--like: '" + like + "' is no oil");
  if (!o.flash.empty())
    facts.flash_degC = value_of("--flash", o.flash, "temperature", {20, 600});

  std::optional<records::CoolantRecord> lumped;
  if (!o.lumped.empty()) {
    lumped = records::read_coolant(read_case_text(o.lumped), o.lumped);
    if (lumped->htc_kind != records::HtcKind::lumped || lumped->htc_W_m2K.empty())
      throw InputError(o.lumped + ": heat_transfer.kind: is not \"lumped\"; there is nothing to convert");
  }
  double bath_degC = lumped ? lumped->table_bath_degC : 60;
  if (!o.bath.empty()) {
    if (lumped)
      throw UsageError("--bath: the lumped record says its own");
    bath_degC = value_of("--bath", o.bath, "temperature", {0, 200});
  } else if (!lumped) {
    assumed.push_back(sheet.ball_s.given() && o.trace.empty()
                          ? "bath of the sheet at 60 degC; the ball's test at 27 degC (ASTM D3520)"
                          : "bath of the test at 60 degC");
  }

  const records::ProbeRecord alloy = probe_record(materials, "alloy_600");
  const DoubtedProbe standard = surroundings::make_doubted_probe(alloy, *alloy.body);
  RecoveredHtc found;
  std::string test;
  std::vector<FigureRow> rows;
  if (any_figure) {
    const records::ProbeRecord nickel = probe_record(materials, "nickel_ball");
    const DoubtedProbe ball = surroundings::make_doubted_probe(nickel, *nickel.body);
    try {
      found = recover_from_sheet(standard, ball, bath_degC, sheet);
    } catch (const std::invalid_argument& error) {
      throw UsageError(std::string("oil: ") + error.what());
    }
    if (curve_figure && o.tests.empty())
      assumed.push_back(formatted("the sheet's figures are means of %.0f tests", sheet.tests));
    assumed.push_back("probe of ISO 9950 / ASTM D6200: alloy 600, 12.5 mm, from 850 degC, still bath");
    assumed.push_back(formatted("thermocouple lag of %.2f s +/- %.2f s left in the figures",
                                standard.probe.sensor_lag_s, standard.sensor_lag_spread_s));
    std::string figures;
    for (const auto& [name, text] : {std::pair<const char*, const std::string&>{"largest rate ", o.max_rate},
                                     {"at ", o.at},
                                     {"at 300 degC ", o.rate_300},
                                     {"to 600 degC ", o.time_600},
                                     {"to 400 degC ", o.time_400},
                                     {"to 200 degC ", o.time_200},
                                     {"nickel ball ", o.ball}})
      if (!text.empty())
        figures += (figures.empty() ? "" : ", ") + (name + text);
    test = "figures of a cooling-curve test (ISO 9950 / ASTM D6200): " + figures;
    facts.note = "The curve is one of many with these figures; low and high are the band of the others.";
  } else {
    surroundings::TraceReadings readings;
    DoubtedProbe probe = standard;
    if (lumped) {
      readings = surroundings::curve_of_lumped(standard.probe, lumped->htc_W_m2K, bath_degC);
      readings.least_noise_K = 1.0;
      test = "lumped table of " + o.lumped + ", taken back to the curve of the probe's centre";
      assumed.push_back("the lumped table was made with the alloy 600 probe of 12.5 mm from 850 degC");
    } else {
      const double immersed_s =
          o.immersed.empty() ? 0 : value_of("--immersed", o.immersed, "time", {0, 36000});
      if (o.immersed.empty())
        assumed.push_back("immersed at time 0 of the file");
      readings = read_trace(read_case_text(o.trace), o.trace, immersed_s);
      records::ProbeRecord material = alloy;
      records::ProbeBody body = *alloy.body;
      if (!o.coupon.empty()) {
        material = probe_record(materials, o.material.empty() ? "austenitic_stainless" : o.material);
        body = coupon_of(o.coupon);
        if (o.material.empty())
          assumed.push_back(
              "coupon of austenitic stainless steel (a coupon that transforms gives its own heat)");
      } else if (!o.material.empty()) {
        throw UsageError("--material: belongs to --coupon");
      }
      const double start = readings.sensor_degC.front();
      body.start_degC = o.start.empty() ? start : value_of("--start", o.start, "temperature", hot);
      if (o.start.empty())
        assumed.push_back(formatted("start at %.0f degC, the first reading", start));
      if (body.start_degC < bath_degC + 100)
        throw InputError(o.trace + ": starts at " + formatted("%.0f", body.start_degC) +
                         " degC; allowed: 100 K above the bath and more");
      probe = surroundings::make_doubted_probe(material, body);
      if (!o.lag.empty()) {
        probe.probe.sensor_lag_s = value_of("--lag", o.lag, "time", {0, 10});
        probe.sensor_lag_spread_s = 0.25 * probe.probe.sensor_lag_s;
      } else if (!o.coupon.empty()) {
        probe.probe.sensor_lag_s = standard.probe.sensor_lag_s;
        probe.sensor_lag_spread_s = 2 * standard.sensor_lag_spread_s;
      }
      if (o.lag.empty())
        assumed.push_back(formatted("thermocouple lag of %.2f s +/- %.2f s", probe.probe.sensor_lag_s,
                                    probe.sensor_lag_spread_s));
      // The end that has settled at the bath says nothing of h.
      while (readings.sensor_degC.size() > 20 && readings.sensor_degC.back() < bath_degC + 10) {
        readings.time_s.pop_back();
        readings.sensor_degC.pop_back();
      }
      test = "measured curve " + std::filesystem::path(o.trace).filename().string() + ", " +
             (o.coupon.empty() ? "alloy 600 probe of 12.5 mm"
                               : "coupon, " + o.coupon + ", of " + material.name) +
             formatted(", from %.0f degC", body.start_degC);
    }
    try {
      found = recover_from_trace(probe, bath_degC, readings);
    } catch (const std::invalid_argument& error) {
      throw InputError((o.trace.empty() ? o.lumped : o.trace) + ": " + error.what());
    }
    facts.note = formatted("Noise of the readings %.2f K, rms of measured less computed %.2f K.",
                           found.noise_K, found.misfit_K);
  }
  rows = {{"largest cooling rate, K/s", o.max_rate, found.figures.max_rate_K_s, "%.1f"},
          {"at, degC", o.at, found.figures.max_rate_degC, "%.0f"},
          {"cooling rate at 300 degC, K/s", o.rate_300, found.figures.rate_300_K_s, "%.1f"},
          {"time to 600 degC, s", o.time_600, found.figures.to_600_s, "%.1f"},
          {"time to 400 degC, s", o.time_400, found.figures.to_400_s, "%.1f"},
          {"time to 200 degC, s", o.time_200, found.figures.to_200_s, "%.1f"},
          {"nickel ball, s", o.ball, found.ball_s, "%.1f"}};

  assumed.push_back("density, specific heat, effect of bath temperature and agitation as " + facts.like.key);
  facts.name = o.name.empty() ? std::filesystem::path(o.out).stem().string() : o.name;
  facts.description = "Recovered from a test of this oil; still bath at " +
                      units::format_quantity(bath_degC, "temperature") + ".";
  facts.source = "recovered by thinquench oil from " + test;
  facts.range = formatted("%.0f to 900 degC surface, still bath at %.0f degC; end values held outside",
                          bath_degC, bath_degC);
  const std::string text = surroundings::oil_record_text(found, facts);
  records::read_coolant(text, o.out); // what is written can be read
  output::PendingFile file{std::filesystem::path(o.out)};
  file.write(text);
  file.commit();
  if (options.quiet)
    return;

  std::cout << facts.name << "\n";
  print_folded("  ", "from " + test);
  print_folded("  ",
               "The table is LOCAL: h of the surface over the temperature of the surface. Tables printed as "
               "\"effective\" or \"lumped\" are another thing, about half of it at the peak.");
  print_table(found);
  if (!o.coupon.empty())
    for (FigureRow& row : rows)
      row.found = std::nan("");
  else
    print_figures(rows);
  if (!std::isnan(found.misfit_K))
    print_folded("\n  ",
                 formatted("readings: noise %.2f K, measured less computed %.2f K rms; thermocouple lag "
                           "found %.2f s",
                           found.noise_K, found.misfit_K, found.sensor_lag_s));
  std::cout << "\nNot told, so assumed\n";
  for (const std::string& line : assumed)
    print_folded("  - ", line);
  std::cout << "\nCautions\n";
  if (!facts.flash_degC)
    print_folded("  ! ",
                 "The flash point is not known: ask the seller before the oil is warmed, stay at least "
                 "28 K (50 degF) below it (29 CFR 1910.126), and write it into the record.");
  else
    print_folded("  ! ",
                 formatted("Never let the oil pass %.0f degC, 28 K (50 degF) below its flash point (29 "
                           "CFR 1910.126); used or dirty oil flashes lower.",
                           std::floor(*facts.flash_degC - 28)));
  print_folded("  ! ",
               "Such a test is made without agitation, on clean alloy 600: another surface, an oxide or a "
               "stirred bath differ by 20-30 % and more. Prove it on a coupon of your bar.");
  if (!std::isnan(found.misfit_K) && found.misfit_K > 3 * std::max(found.noise_K, 0.5))
    print_folded("  ! ",
                 "The computed curve misses the readings by more than their noise: wrong size, material, "
                 "start, immersion time or bath, or a front of boiling that crept along the piece. Do not "
                 "trust the band.");
  std::cout << "\nFile written\n  " << o.out << "\n  a case uses it with  coolant = \"" << o.out << "\"\n";
}

} // namespace tq::program
